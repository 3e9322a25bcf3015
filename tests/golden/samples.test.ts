/**
 * Every sample log holds what the simulator says it made: the recording is read by the decoder, the truth
 * comes from the simulated nodes' own memories and not from reading frames.
 */
import { readFileSync } from 'node:fs'
import { gunzipSync } from 'node:zlib'
import { openRecording } from '@firstcrank/decoder'
import { SAMPLE_LOGS, simulateSample, type Truth } from '@firstcrank/simulator'
import { describe, expect, test } from 'vitest'

const folder = new URL('../../sample-logs/', import.meta.url)
const MICROS = 1_000_000
/** Lists are sent once a second; one more for the list without the fault. */
const SLACK_SECONDS = 2.5
/** Logs short enough to be made anew in a test. */
const SHORT_BYTES = 800_000

describe.each(SAMPLE_LOGS)('$file', ({ file }) => {
  const stored = readFileSync(new URL(file, folder))
  const truth = JSON.parse(readFileSync(new URL(file.replace(/\.log(\.gz)?$/, '.facts.json'), folder), 'utf8')) as Truth

  test('is read whole, and its fault episodes are those that were made', async () => {
    const recording = await openRecording(stored)
    const { counts, clock } = recording
    expect(recording.problems.total).toBe(0)
    expect(counts.extended + counts.error + counts.remote + counts.standard).toBe(truth.frames)
    expect(clock.first).toBeGreaterThanOrEqual(truth.startMicros)
    const active = recording.episodes.filter(({ source }) => source === 'DM1')
    const seconds = (time: number) => (time - truth.startMicros) / MICROS
    const seen = active.map(({ sa, spn, fmi, firstSeen }) => ({ sa, spn, fmi, from: seconds(firstSeen) }))
    const order = (a: { from: number; spn: number }, b: { from: number; spn: number }) =>
      a.from - b.from || a.spn - b.spn
    const made = truth.episodes.map(({ sa, spn, fmi, from }) => ({ sa, spn, fmi, from }))
    expect(seen.map(({ sa, spn, fmi }) => `${sa} ${spn}/${fmi}`).sort()).toEqual(
      made.map(({ sa, spn, fmi }) => `${sa} ${spn}/${fmi}`).sort(),
    )
    for (const fault of made.sort(order)) {
      const near = seen.filter(({ sa, spn, fmi }) => sa === fault.sa && spn === fault.spn && fmi === fault.fmi)
      expect(near.some(({ from }) => from >= fault.from && from - fault.from < SLACK_SECONDS)).toBe(true)
    }
    for (const { sa, spn, fmi } of truth.expectedFaults) {
      expect(seen).toContainEqual(expect.objectContaining({ sa, spn, fmi }))
    }
  })

  test.runIf(stored.length < SHORT_BYTES)('is what the simulator makes, byte for byte', () => {
    const text = (file.endsWith('.gz') ? gunzipSync(stored) : stored).toString('latin1')
    const { chunks, truth: made } = simulateSample(file)
    expect([...chunks].join('') === text).toBe(true)
    expect(made()).toEqual(truth)
  })
})
