/** Exports as text: comma-separated values (RFC 4180) and JSON, one object a line; see docs/formats.md. */
import { EXPORT_COLUMNS, type ExportBlock, exactSeconds } from './blocks.js'

const encoder = new TextEncoder()

/** The blocks as comma-separated values, the header first. */
export function* csvChunks(blocks: Iterable<ExportBlock>): Generator<Uint8Array> {
  yield encoder.encode(`${EXPORT_COLUMNS.join(',')}\r\n`)
  for (const { channel, pgn, sa, da, spn, name, unit, instance, rows } of blocks) {
    const head = `${[channel, pgn, sa, da, spn, name].map(csvField).join(',')}`
    let text = ''
    for (const { time, value, raw, status, label } of rows) {
      const fields = [value, unit, raw, status, label, null, instance].map(csvField).join(',')
      text += `${exactSeconds(time)},${head},${fields}\r\n`
    }
    yield encoder.encode(text)
  }
}

/** The blocks as JSON objects, one a line. */
export function* ndjsonChunks(blocks: Iterable<ExportBlock>): Generator<Uint8Array> {
  for (const { channel, pgn, sa, da, spn, name, unit, instance, rows } of blocks) {
    const head = JSON.stringify({ channel, pgn, sa, da, spn, name }).slice(1, -1)
    let text = ''
    for (const { time, value, raw, status, label } of rows) {
      const rest = {
        value,
        unit,
        raw,
        status,
        ...(label === null ? {} : { label }),
        ...(instance === null ? {} : { instance }),
      }
      // The time is written as digits: a number in JavaScript would lose trailing zeros.
      text += `{"t":${exactSeconds(time)},${head},${JSON.stringify(rest).slice(1)}\n`
    }
    yield encoder.encode(text)
  }
}

/**
 * A field of comma-separated values. Text that a spreadsheet would take for a formula gets an
 * apostrophe in front, as OWASP's page on CSV injection advises.
 */
function csvField(field: string | number | null): string {
  if (field === null) return ''
  if (typeof field === 'number') return `${field}`
  const text = /^[=+\-@\t\r]/.test(field) ? `'${field}` : field
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text
}
