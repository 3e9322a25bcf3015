/** A long day on the bus: simulated drives one after the other, a few minutes between them. Deterministic. */
import { createWriteStream } from 'node:fs'
import { finished } from 'node:stream/promises'
import { simulate } from '@firstcrank/simulator'

/** Seconds from the beginning of one drive to that of the next. */
const APART = 1_800

/** Writes so many lines. */
export async function writeDrives(path, lines) {
  const text = [...simulate('healthy-drive').chunks].join('')
  const drive = text.trimEnd().split('\n')
  const out = createWriteStream(path)
  for (let written = 0, n = 0; written < lines; n++, written += drive.length) {
    const part = drive.slice(0, lines - written).join('\n')
    out.write(`${part.replaceAll(/^\((\d+)/gm, (_, seconds) => `(${Number(seconds) + n * APART}`)}\n`)
  }
  out.end()
  await finished(out)
}
