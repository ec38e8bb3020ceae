// Makes large jobs for measuring: a demonstration job over and over, each time with names of its own.

/** A job of at least `n` parts, as the text of a file; no two of its copies are joined. */
export function largeJob(job, n) {
  const copies = Math.ceil(n / job.parts.length);
  const [parts, wires] = [[], []];
  for (let copy = 1; copy <= copies; copy += 1) {
    const named = (id) => id.replace(/^([a-z]+)/, `$1${copy}x`);
    // Labels must differ too, or every part would be found to share its own.
    const label = (text) => text?.replace(/^(\D*)(\d+)$/, (_, letters, number) => `${letters}${100 * copy + Number(number)}`);
    for (const { place, ...part } of job.parts) {
      // Some values name another part, such as the box a fuse sits in.
      const renamed = (_, one) => (job.parts.some(({ id }) => id === one) ? named(one) : one);
      const values = part.values ? { values: JSON.parse(JSON.stringify(part.values), renamed) } : {};
      parts.push({ ...part, ...values, id: named(part.id), ...(part.label ? { label: label(part.label) } : {}) });
    }
    for (const { via, ...wire } of job.wires) {
      wires.push({
        ...wire,
        id: named(wire.id),
        from: named(wire.from),
        to: named(wire.to),
        ...(wire.label ? { label: label(wire.label) } : {}),
      });
    }
  }
  const { format, version, settings } = job;
  return JSON.stringify({ format, version, card: { title: `${parts.length} parts` }, settings, parts, wires });
}
