// The script of the worker: one message with a question in, one or two with the answer out, each with
// the milliseconds it took. Readings come first; findings follow in a second message, unless another
// question has arrived by then.
import init, { answer, checked } from "./{{worker-glue.js}}";

const ready = init({ module_or_path: new URL("./{{worker.wasm}}", import.meta.url) });
let later = 0;

onmessage = async ({ data }) => {
  clearTimeout(later);
  try {
    await ready;
  } catch (error) {
    return stop(error);
  }
  if (tell(() => answer(data), true)) {
    later = setTimeout(() => tell(checked, false));
  }
};

/**
 * Sends what `compute` gives, if anything; false when the module has stopped over it. `first` is whether
 * that answers a question.
 */
function tell(compute, first) {
  try {
    const start = performance.now();
    const text = compute();
    if (text !== undefined) {
      postMessage({ first, text, ms: performance.now() - start });
    }
    return true;
  } catch (error) {
    stop(error);
    return false;
  }
}

/** A module that has stopped once answers nothing any more, so the worker ends with it. */
function stop(error) {
  postMessage({ failure: String(error?.message ?? error) });
  close();
}
