// The script of the worker: one message with bytes in, one or two with bytes out, each with the milliseconds it took
// and the number of the message it belongs to. Of an answer, readings come first; findings follow in a second message,
// unless another message has arrived by then.
import init, { reply, checked } from "./{{worker-glue.js}}";

const ready = init({ module_or_path: new URL("./{{worker.wasm}}", import.meta.url) });
let later = 0;

// Called by the module while it computes; told now and then.
let told = 0;
globalThis.progress = (done, total) => {
  const now = performance.now();
  if (now - told > 100) {
    told = now;
    postMessage({ progress: [done, total] });
  }
};

onmessage = async ({ data: { number, bytes } }) => {
  clearTimeout(later);
  try {
    await ready;
  } catch (error) {
    return stop(error);
  }
  if (tell(() => reply(bytes), { number, first: true })) {
    later = setTimeout(() => tell(checked, { number, first: false }));
  }
};

/** Sends what `compute` gives, if anything; false when the module has stopped over it. */
function tell(compute, message) {
  try {
    const start = performance.now();
    const bytes = compute();
    if (bytes !== undefined) {
      postMessage({ ...message, bytes, ms: performance.now() - start }, [bytes.buffer]);
    }
    return true;
  } catch (error) {
    stop(error, message.number);
    return false;
  }
}

/**
 * A module that has stopped once does nothing any more, so the worker ends with it. Without the number of the message
 * that it stopped over, there is no module.
 */
function stop(error, number) {
  postMessage({ failure: String(error?.message ?? error), number });
  close();
}
