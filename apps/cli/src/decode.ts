/** `firstcrank decode`: every value of a log, in a stream of lines. */
import {
  createLogDecoder,
  destinationOf,
  type GroupDefinition,
  pgnOf,
  readThrough,
  sourceOf,
} from '@firstcrank/decoder'
import { GROUPS } from '@firstcrank/decoder/catalog'
import type { RunCommand } from './commands.js'
import { noteDamage } from './damage.js'
import { readLog } from './log-file.js'
import { logOptions } from './log-options.js'
import { Output } from './output.js'
import { firstFew, listing, plural } from './text.js'
import { type ValueFilter, valueFilter } from './value-filter.js'
import { VALUE_FORMS, type ValueForm } from './value-form.js'
import { type StreamPlan, ValueLines } from './value-lines.js'

/** How far the time line may run backwards, in microseconds: what comes later than this is later for good. */
const SLACK = 1_000_000

/** Writes the values of a log. */
export const decode: RunCommand = async (args, io, output) => {
  const form = VALUE_FORMS[args.format()] as ValueForm
  const filter = valueFilter(args)
  const name = args.logName()
  const options = await logOptions(args)
  const lines = new ValueLines(output, form, filter, options.definitions)
  output.add(form.header)
  let latest = Number.NEGATIVE_INFINITY
  const log = createLogDecoder(({ keys }) => {
    const plans: (StreamPlan | null)[] = []
    const planOfKey = (key: number) => {
      while (plans.length <= key) {
        const at = plans.length
        const [id, channel] = [keys.id[at] as number, keys.channel[at] as number]
        const stream = { channel, pgn: pgnOf(id), sa: sourceOf(id), da: destinationOf(id) }
        plans.push(lines.planOf(stream, keys.channels[channel] as string))
      }
      return plans[key] as StreamPlan | null
    }
    return {
      frames: ({ time, key, bytes, length }, from, to) => {
        lines.begin(time[from] as number)
        for (let row = from; row < to; row++) {
          const frameKey = key[row] as number
          const plan = planOfKey(frameKey)
          if (plan === null) continue
          const pgn = pgnOf(keys.id[frameKey] as number)
          lines.write(plan, pgn, time[row] as number, bytes, row * 8, length[row] as number)
        }
        latest = time[to - 1] as number
      },
      assembled: (message) => {
        const plan = lines.planOf(message, keys.channels[message.channel] as string)
        if (plan === null) return
        const { pgn, time, payload } = message
        lines.write(plan, pgn, time, payload, 0, payload.length)
      },
      other: ({ time }) => lines.begin(time),
    }
  }, options)
  for await (const _ of readThrough(log, readLog(name, io, true), options)) {
    await output.flush()
    if (latest > lines.end + SLACK) break
  }
  await noteDamage(log.reader.problems.counts(), io)
  if (lines.written > 0) return
  const notes = new Output(io.stderr)
  notes.add(`firstcrank: no values: ${whyNone(lines, filter, log.reader, options.definitions ?? [])}\n`)
  await notes.flush()
}

/** Why nothing was written, and what to do. */
function whyNone(
  lines: ValueLines,
  { spns, pgns, sas, channels, from, to }: ValueFilter,
  { counts, keys }: ReturnType<typeof createLogDecoder>['reader'],
  definitions: readonly GroupDefinition[],
): string {
  if (counts.extended === 0) return 'the log holds no frame with a 29-bit identifier; see firstcrank summary'
  const { undefinedGroups, diagnosticGroups } = lines.barren
  if (diagnosticGroups.size > 0) return `${cameWithout(diagnosticGroups)}; see firstcrank faults`
  if (undefinedGroups.size > 0) return `${cameWithout(undefinedGroups)}; describe them with --definitions`
  const missing = [...(channels ?? [])].filter((channel) => !keys.channels.includes(channel))
  if (missing.length > 0) return `there is no ${listing(missing)} in the log, only ${listing(keys.channels)}`
  const carried = (spn: number) =>
    [...definitions, ...GROUPS].some((group) =>
      [...group.signals, ...(group.repeat?.signals ?? [])].some((signal) => signal.spn === spn),
    )
  const unknown = [...(spns ?? [])].filter((spn) => !carried(spn))
  if (unknown.length > 0) return `no definition carries SPN ${listing(unknown.map(String))}`
  if (from !== undefined || to !== undefined) return 'nothing that was asked for was sent in that time'
  if (spns !== undefined || pgns !== undefined || sas !== undefined) return 'nothing that was asked for was sent'
  return 'no group in the log has a definition; see firstcrank summary'
}

function cameWithout(groups: ReadonlyMap<number, number>): string {
  const named = [...groups].map(([pgn, messages]) => `PGN ${pgn} (${plural(messages, 'message')})`)
  return `no signals are defined for ${firstFew(named, 5)}`
}
