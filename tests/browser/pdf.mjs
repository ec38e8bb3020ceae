// Reads as much of a PDF as a test of paper needs: how many pages, how large, and which words.
import { getDocument, VerbosityLevel } from "pdfjs-dist/legacy/build/pdf.mjs";

/** The pages of a PDF: the width and height of each in points, and its text without any spaces. */
export async function pages(bytes) {
  const loading = getDocument({ data: new Uint8Array(bytes), useSystemFonts: false, verbosity: VerbosityLevel.ERRORS });
  const document = await loading.promise;
  const found = [];
  for (let number = 1; number <= document.numPages; number += 1) {
    const page = await document.getPage(number);
    const [left, bottom, right, top] = page.view;
    const { items } = await page.getTextContent();
    const text = items.map(({ str }) => str ?? "").join("").replaceAll(/\s/g, "");
    found.push({ width: right - left, height: top - bottom, text });
  }
  await loading.destroy();
  return found;
}
