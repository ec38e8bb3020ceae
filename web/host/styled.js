// Brings the style of what is fetched later.

/** Adds a style to the page, once. Resolves when it holds, or cannot be had: what it is for is plain then, and works. */
export function styled(url) {
  const { href } = new URL(url);
  if ([...document.styleSheets].some((sheet) => sheet.href === href)) {
    return Promise.resolve();
  }
  const link = Object.assign(document.createElement("link"), { rel: "stylesheet", href });
  const here = new Promise((resolve) => (link.onload = link.onerror = resolve));
  document.head.append(link);
  return here;
}
