// The script of the worker: one message with a question in, one with the answer out, and how many
// milliseconds the answer took.
import init, { answer } from "./{{worker-glue.js}}";

const ready = init({ module_or_path: new URL("./{{worker.wasm}}", import.meta.url) });

onmessage = async ({ data }) => {
  try {
    await ready;
    const start = performance.now();
    const text = answer(data);
    postMessage({ text, ms: performance.now() - start });
  } catch (error) {
    // A module that has stopped once answers nothing any more, so the worker ends with it.
    postMessage({ failure: String(error?.message ?? error) });
    close();
  }
};
