// Applies the settings of this device before anything is seen; `workshop.js` changes them.
{
  const { dataset } = document.documentElement;
  try {
    Object.assign(dataset, JSON.parse(localStorage["loomwright.device"]));
  } catch {
    // Nothing was chosen here yet, or nothing can be kept.
  }
  if (dataset.gloves || dataset.hand) {
    const link = document.createElement("link");
    Object.assign(link, { rel: "stylesheet", blocking: "render", href: new URL("./{{device.css}}", document.currentScript.src) });
    document.head.append(link);
  }
  // Only a page that is not in English, or has commas in its numbers or lengths in feet, fetches what that takes.
  const isGerman = dataset.language ? dataset.language === "de" : /^de\b/.test(navigator.languages?.[0]);
  if (isGerman || dataset.numbers === "comma" || dataset.lengths) {
    // Nobody is to see it in English first, nor to wait for long where there is hardly a signal.
    dataset.waits = "";
    const late = new Promise((resolve) => setTimeout(resolve, 3000));
    Promise.race([import(new URL("./{{language.js}}", document.currentScript.src)), late]).finally(() => delete dataset.waits);
  }
}
