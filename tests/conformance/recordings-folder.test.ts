/**
 * Recordings of your own: every `.log`, `.txt` or `.gz` in the folder that the environment variable
 * `FIRSTCRANK_RECORDINGS` names is read, and must come out as the reference decoder has it. Without the
 * variable the excerpts in `golden/recordings/` are read.
 *
 * The files must hold plain lines of the file form, as the reference decoder reads no other.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { gunzipSync } from 'node:zlib'
import { openRecording, type Recording } from '@firstcrank/decoder'
import { describe, expect, it } from 'vitest'
import { expectAgreement } from '../support/compare.js'
import { plausibleRange } from '../support/plausible-ranges.js'

const folder = process.env['FIRSTCRANK_RECORDINGS'] ?? fileURLToPath(new URL('../golden/recordings/', import.meta.url))

/** Values no vehicle has, in words. */
function impossible(recording: Recording): { readonly found: string[]; readonly checked: number } {
  const found: string[] = []
  let checked = 0
  for (const signal of recording.signals()) {
    const { definition, group, stream } = signal
    if (definition.kind !== 'numeric') continue
    const valid = signal.values().filter((value) => !Number.isNaN(value))
    if (valid.length === 0) continue
    checked += valid.length
    const range = plausibleRange(definition.spn, definition.unit)
    const outside = range === undefined ? valid : valid.filter((value) => value < range[0] || value > range[1])
    if (outside.length === 0) continue
    const place = `${group.acronym} from ${stream.sa}, SPN ${definition.spn} ${definition.name}`
    found.push(`${place}: ${outside.length} of ${valid.length}, such as ${outside[0]} ${definition.unit}`)
  }
  return { found, checked }
}

const files = readdirSync(folder).filter((name) => /\.(log|txt|gz)$/.test(name))

describe('recordings', () => {
  it('are there', () => {
    expect(files.length).toBeGreaterThan(0)
  })

  it.each(files)(
    '%s',
    async (file) => {
      const bytes = readFileSync(join(folder, file))
      const text = (file.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('latin1')
      const recording = await openRecording(bytes)
      const agreement = expectAgreement(recording, text)
      const { found, checked } = impossible(recording)
      expect(found).toEqual([])
      if (process.env['FIRSTCRANK_RECORDINGS'] !== undefined) {
        const { lines, frames, longMessages, values } = agreement
        console.info(
          `${file}: ${lines} lines, ${frames} frames, ${longMessages} long messages, ${values} values compared, ${checked} in range`,
        )
      }
    },
    300_000,
  )
})
