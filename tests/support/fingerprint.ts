/** Everything a recording says, as one text: two recordings are the same where the texts are. */
import type { Recording } from '@firstcrank/decoder'
import { expect } from 'vitest'
import { hexOf } from './log.js'

/** The text. Numbers are printed whole, so that one bit of difference shows. */
export function fingerprint(recording: Recording): string {
  const { channels, counts, problems, clock, streams, episodes, lamps, events } = recording
  return print({
    channels,
    counts,
    problems: { counts: problems.counts(), kept: problems.kept },
    clock,
    streams: streams.map((stream) => ({
      ...{ channel: stream.channel, priority: stream.priority, pgn: stream.pgn, sa: stream.sa, da: stream.da },
      messages: Array.from({ length: stream.count }, (_, row) => {
        const { time, firstTime, transport, payload } = stream.message(row)
        return [time, firstTime, transport, hexOf(payload)]
      }),
    })),
    signals: recording.signals().map((signal) => ({
      ...{ spn: signal.spn, pgn: signal.group.pgn, instance: signal.instance },
      values: [...signal.values()],
      raws: [...signal.raws()],
      statuses: [...signal.statuses()],
    })),
    episodes,
    lamps,
    events,
    summary: recording.summary(),
  })
}

/** JSON that keeps maps, big integers and numbers that are none. */
export function print(value: unknown): string {
  return JSON.stringify(
    value,
    (_, part: unknown) => {
      if (typeof part === 'bigint') return `${part}n`
      if (part instanceof Map) return { map: [...part] }
      if (typeof part === 'number' && !Number.isFinite(part)) return `${part}`
      return part
    },
    1,
  )
}

/** Fails with the first lines in which two long texts differ, not with all of both. */
export function expectSameText(actual: string, wanted: string): void {
  if (actual === wanted) return
  const ours = actual.split('\n')
  const theirs = wanted.split('\n')
  const from = ours.findIndex((line, index) => line !== theirs[index])
  const around = (lines: readonly string[]): string => lines.slice(Math.max(0, from - 8), from + 4).join('\n')
  expect(around(ours)).toBe(around(theirs))
  expect(ours.length).toBe(theirs.length)
}
