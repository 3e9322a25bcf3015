/** The excerpts of real recordings, opened; see `tests/golden/recordings/README.md`. */
import { readFileSync } from 'node:fs'
import { openRecording, type Recording } from '@firstcrank/decoder'

const FOLDER = new URL('../golden/recordings/', import.meta.url)

/** The text of an excerpt. */
export function readExcerpt(name: string): string {
  return readFileSync(new URL(`${name}.log`, FOLDER), 'latin1')
}

/** An excerpt as a recording with a summary. */
export function openExcerpt(name: string): Promise<Recording> {
  return openRecording(readFileSync(new URL(`${name}.log`, FOLDER)), { summary: true })
}
