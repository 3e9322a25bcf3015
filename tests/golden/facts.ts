/** What is worth keeping of a recording, as JSON that shows in a difference what has changed: one fact a line. */
import type { Recording, Signal } from '@firstcrank/decoder'

/** The facts of a recording that was opened with a summary. */
export function factsOf(recording: Recording): string {
  const summary = recording.summary()
  if (summary === undefined) throw new Error('open it with a summary')
  const { channels, clock, counts, nodes, problems, transport } = summary
  const name = (channel: number): string => channels[channel]
  return print({
    counts: Object.entries(counts).flatMap(([kind, count]) => (count > 0 ? `${kind} ${count}` : [])),
    problems: problems.first.map(({ code, line, text }) => `line ${line} ${code}: ${text}`),
    time: [
      `first ${clock.first}, last ${clock.last}`,
      `backwards ${clock.backwards.count}, at most ${clock.backwards.largest}`,
      ...clock.holes.kept.map(({ from, to }) => `hole ${from} to ${to}`),
      ...clock.steps.kept.map(({ at, step }) => `step of ${step} at ${at}`),
    ],
    nodes: nodes.map(
      ({ channel, sa, frames, firstTime, lastTime, name: claimed, identifications }) =>
        `${name(channel)} ${sa}: ${frames} frames, ${firstTime} to ${lastTime}, ` +
        `NAME ${claimed?.value.toString(16) ?? 'none'}, ${identifications.length} texts`,
    ),
    groups: nodes.flatMap(({ channel, sa, groups }) =>
      groups.map(
        ({ pgn, da, count, frames, definition, intervals: { period } }) =>
          `${name(channel)} ${sa}>${da} ${pgn}: ${count} messages, ${frames} frames, ` +
          `${definition === undefined ? 'not defined' : 'defined'}, period ${period === null ? 'unknown' : Math.round(period)}`,
      ),
    ),
    transport: [
      `${transport.completed} messages of several frames`,
      ...Array.from(transport.byCode, ([code, count]) => `${code} ${count}`),
    ],
    requests: summary.requests.map(
      ({ channel, asker, asked, pgn, requests, answered, unanswered }) =>
        `${name(channel)} ${asker}>${asked} ${pgn}: ${requests}, answered ${answered}, not ${unanswered}`,
    ),
    loads: summary.loads.map(({ channel, frames, bits }) => `${name(channel)}: ${frames} frames, ${bits} bits`),
    episodes: summary.episodes.map(
      ({ channel, sa, source, spn, fmi, firstSeen, lastSeen, clearedAt }) =>
        `${name(channel)} ${sa} ${source} SPN ${spn} FMI ${fmi}: ${firstSeen} to ${lastSeen}, cleared ${clearedAt}`,
    ),
    lamps: summary.lamps.flatMap(({ channel, sa, source, changes }) =>
      changes.map(({ time, lamps }) => {
        const states = Object.values(lamps).map(({ state }) => state)
        return `${name(channel)} ${sa} ${source} ${time}: ${states.join(', ')}`
      }),
    ),
    events: summary.events.map(({ kind, channel, time }) => `${name(channel)} ${time} ${kind}`),
    signals: recording.streams.flatMap(({ pgn, sa, da, channel }) => {
      const signals = recording.signals({ pgn, sa, da, channel: name(channel) })
      // By number, so that putting a definition's signals in another order changes nothing.
      return signals.toSorted((a, b) => a.spn - b.spn).flatMap((signal) => factOf(signal, name(channel)) ?? [])
    }),
  })
}

/** What a signal's values were like; nothing of a signal without any. */
function factOf(signal: Signal, channel: string): string | undefined {
  const values = signal.values().filter((value) => !Number.isNaN(value))
  if (values.length === 0) return undefined
  const { spn, count, stream } = signal
  const least = values.reduce((a, b) => Math.min(a, b))
  const greatest = values.reduce((a, b) => Math.max(a, b))
  return (
    `${channel} ${stream.sa}>${stream.da} ${stream.pgn} SPN ${spn}: ${values.length} of ${count}, ` +
    `first ${values[0]}, least ${least}, greatest ${greatest}, last ${values[values.length - 1]}`
  )
}

const WIDTH = 120

/** JSON as the formatter of this repository writes it: lists on one line where they fit, else one entry a line. */
function print(facts: Readonly<Record<string, readonly string[]>>): string {
  const parts = Object.entries(facts).map(([key, entries]) => {
    const texts = entries.map((entry) => JSON.stringify(entry))
    const line = `  ${JSON.stringify(key)}: [${texts.join(', ')}]`
    return line.length < WIDTH ? line : `  ${JSON.stringify(key)}: [\n    ${texts.join(',\n    ')}\n  ]`
  })
  return `{\n${parts.join(',\n')}\n}\n`
}
