// The page “Versions” of the open job, as one comes to it and leaves it.

/** Opens it from the list of jobs. */
export async function openVersions(app) {
  await app.openJobs();
  await app.pressButton("Versions of the open job", "dialog.shelf");
  await app.page.waitForSelector("dialog.versions[open]");
  await app.frames();
}

/** Keeps the open job there by one of the names that are offered. */
export async function nameVersion(app, name) {
  await app.pressButton(name, "dialog.versions");
  await app.pressButton("Keep it by this name", "dialog.versions");
  await app.page.waitForSelector("dialog.versions .version");
}

/** Goes back to the drawing. */
export async function closeVersions(app) {
  await app.pressButton("Close", "dialog.versions");
  await app.pressButton("Close", "dialog.shelf");
}
