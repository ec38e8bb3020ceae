// Starts the app. The glue is told where its module is, because that name changes with every build.
import init from "./{{web-glue.js}}";

try {
  await init({ module_or_path: new URL("./{{web.wasm}}", import.meta.url) });
} catch (error) {
  // A stop inside the app has already said so; what arrives here is mostly a page that could not be
  // fetched whole, or a browser without WebAssembly.
  const notice = document.getElementById("stopped");
  if (notice.hidden) {
    document.getElementById("stopped-why").textContent = String(error);
    notice.hidden = false;
  }
  throw error;
}
