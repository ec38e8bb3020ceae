/** What Chromium is started with. The browser itself must be as quiet as the page: it has no business on the network in a test. */
export const QUIET = [
  "--no-sandbox",
  "--disable-gpu",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
  "--no-first-run",
];
