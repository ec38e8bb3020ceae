// Dates and times of day, as they are written in the language of the page.

/** When something was, of a time in milliseconds. */
export function when(time) {
  const { lang } = document.documentElement;
  // English, and others, are written in several ways: as the user does, where the browser knows.
  const locale = navigator.languages.find((one) => one.startsWith(lang)) ?? lang;
  return new Date(time).toLocaleString(locale, { dateStyle: "medium", timeStyle: "short" });
}
