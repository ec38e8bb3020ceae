// Measures what is left in memory of jobs that were opened and left again. A part of measure.mjs.
import { App } from "./app.mjs";

/** Jobs that are opened one after the other: as often each as the next, so that the same one is open at both marks. */
const JOBS = 51;

/**
 * Of the first rounds each brings something that stays: code, fonts, the worker. The memory of WebAssembly grows by half a
 * megabyte at a time and never shrinks; it took its last step between the ninth and the eighteenth job when this was written.
 */
const WARM = 24;

/** Opens jobs one after the other, and compares the memory that is in use early on with that in use at the end. */
export async function memory(withPage, address, titles) {
  await withPage(async (page) => {
    const app = await App.open(page, address);
    const marks = [];
    for (let n = 1; n <= JOBS + WARM; n += 1) {
      await app.openListed(titles[n % titles.length]);
      if (n === WARM || n === JOBS + WARM) {
        marks.push(await used(app));
      }
    }
    const [before, after] = marks;
    const row = (what, key) => {
      const growth = (100 * (after[key] - before[key])) / before[key];
      console.log(`  ${what}: ${(before[key] / 1e6).toFixed(1)} MB, then ${(after[key] / 1e6).toFixed(1)} MB (${growth >= 0 ? "+" : ""}${growth.toFixed(1)} %)`);
    };
    console.log(`\nmemory after ${WARM} jobs and after ${JOBS} more:`);
    row("JavaScript of the page", "heap");
    row("WebAssembly of the page", "wasm");
    row("JavaScript of the worker", "workerHeap");
    console.log(`  nodes of the page: ${before.nodes}, then ${after.nodes}`);
  });
}

async function used(app) {
  const { cdp, page } = app;
  await cdp.send("HeapProfiler.enable");
  await cdp.send("HeapProfiler.collectGarbage");
  await cdp.send("HeapProfiler.collectGarbage");
  const { usedSize } = await cdp.send("Runtime.getHeapUsage");
  const { nodes } = await cdp.send("Memory.getDOMCounters");
  const wasm = await page.evaluate(() => window.memories.reduce((sum, memory) => sum + memory.buffer.byteLength, 0));
  const [worker] = page.workers();
  await worker.client.send("HeapProfiler.enable").catch(() => {});
  await worker.client.send("HeapProfiler.collectGarbage").catch(() => {});
  const heap = await worker.client.send("Runtime.getHeapUsage");
  return { heap: usedSize, nodes, wasm, workerHeap: heap.usedSize };
}

/** Runs in the page before anything else: keeps the memories of its modules. */
export function keepMemories() {
  window.memories = [];
  const { instantiate, instantiateStreaming } = WebAssembly;
  const keep = (result) => {
    const { exports } = result.instance ?? result;
    window.memories.push(...Object.values(exports).filter((one) => one instanceof WebAssembly.Memory));
    return result;
  };
  WebAssembly.instantiate = (...all) => instantiate.apply(WebAssembly, all).then(keep);
  WebAssembly.instantiateStreaming = (...all) => instantiateStreaming.apply(WebAssembly, all).then(keep);
}
