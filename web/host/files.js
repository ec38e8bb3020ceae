// Files in and out of the browser, by whichever way it has: a picker, the share sheet, or a download.

const TYPES = {
  svg: { description: "Drawing with the job inside", accept: { "image/svg+xml": [".svg"] } },
  json: { description: "Job", accept: { "application/json": [".json"] } },
  pdf: { description: "Sheets", accept: { "application/pdf": [".pdf"] } },
  csv: { description: "Table", accept: { "text/csv": [".csv"] } },
};

/** Lets the user choose a file; its name and bytes, or null when none was chosen. */
export function pick() {
  return new Promise((resolve, reject) => {
    const input = document.createElement("input");
    input.type = "file";
    input.accept = ".svg,.json,image/svg+xml,application/json";
    input.hidden = true;
    // Some browsers open nothing for an input that is not in the page.
    document.body.append(input);
    const finish = (result) => {
      input.remove();
      resolve(result);
    };
    input.addEventListener("cancel", () => finish(null));
    input.addEventListener("change", () => {
      const file = input.files[0];
      if (!file) {
        return finish(null);
      }
      file.arrayBuffer().then((buffer) => finish({ name: file.name, bytes: new Uint8Array(buffer) }), reject);
    });
    input.click();
  });
}

/**
 * Gives a file to the user. Resolves with how: "saved", "shared", "downloaded", or "cancelled".
 *
 * A share sheet is the way on touch devices, where a download lands in a folder nobody finds.
 */
export async function save(name, content) {
  const ending = name.split(".").pop();
  const type = Object.keys(TYPES[ending].accept)[0];
  const blob = new Blob([content], { type });
  if (window.showSaveFilePicker) {
    try {
      const handle = await window.showSaveFilePicker({ suggestedName: name, types: [TYPES[ending]] });
      const stream = await handle.createWritable();
      await stream.write(blob);
      await stream.close();
      return "saved";
    } catch (error) {
      if (error.name === "AbortError") {
        return "cancelled";
      }
      // Pickers are refused in some frames and profiles; the other ways still work.
    }
  }
  // Only pictures and plain text may be shared as files in every browser that shares.
  const file = new File([blob], ending === "json" ? `${name}.txt` : name, { type: ending === "json" ? "text/plain" : type });
  if (matchMedia("(pointer: coarse)").matches && navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file], title: name });
      return "shared";
    } catch (error) {
      if (error.name === "AbortError") {
        return "cancelled";
      }
    }
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  // The browser reads the address after the click has returned.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
  return "downloaded";
}
