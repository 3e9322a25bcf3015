/** Why nothing of a log was written, and what to do. */
import type { GroupDefinition, LogReader } from '@firstcrank/decoder'
import { GROUPS, signalsOf } from '@firstcrank/decoder/catalog'
import { whyNoFrames } from './no-frames.js'
import { firstFew, listing, plural } from './text.js'
import type { ValueFilter } from './value-filter.js'

/** Why messages that passed the filter gave no value. */
export interface Barren {
  /** Messages of groups without a definition, by PGN. */
  readonly undefinedGroups: Map<number, number>
  /** Messages that carry faults or the like, which `faults` shows, by PGN. */
  readonly diagnosticGroups: Map<number, number>
}

/** Why there were no messages. */
export function whyNoMessages(filter: ValueFilter, reader: LogReader): string {
  return whyNothing(reader) ?? whyNoStream(filter, reader) ?? whyNotSent(filter)
}

/** Why there were no values. */
export function whyNoValues(
  { undefinedGroups, diagnosticGroups }: Barren,
  filter: ValueFilter,
  reader: LogReader,
  definitions: readonly GroupDefinition[],
): string {
  const noFrames = whyNothing(reader)
  if (noFrames !== undefined) return noFrames
  if (diagnosticGroups.size > 0) return `${cameWithout(diagnosticGroups)}; see firstcrank faults`
  if (undefinedGroups.size > 0) {
    return `${cameWithout(undefinedGroups)}; describe them with --definitions, or see their bytes with --messages`
  }
  const noStream = whyNoStream(filter, reader)
  if (noStream !== undefined) return noStream
  const groups = [...definitions, ...GROUPS]
  const carried = (spn: number) => groups.some((group) => signalsOf(group).some((signal) => signal.spn === spn))
  const unknown = [...(filter.spns ?? [])].filter((spn) => !carried(spn))
  if (unknown.length > 0) return `no definition carries SPN ${listing(unknown.map(String))}`
  return whyNotSent(filter)
}

function whyNothing({ counts, problems, keys }: LogReader): string | undefined {
  const why = whyNoFrames(counts, problems.total)
  return why !== undefined && keys.channels.length > 0 ? `${why}; see firstcrank summary` : why
}

function whyNoStream({ channels }: ValueFilter, { keys }: LogReader): string | undefined {
  const missing = [...(channels ?? [])].filter((channel) => !keys.channels.includes(channel))
  if (missing.length === 0) return undefined
  return `there is no ${listing(missing)} in the log, only ${listing(keys.channels)}`
}

function whyNotSent({ spns, pgns, sas, from, to }: ValueFilter): string {
  if (from !== undefined || to !== undefined) return 'nothing that was asked for was sent in that time'
  if (spns !== undefined || pgns !== undefined || sas !== undefined) return 'nothing that was asked for was sent'
  return 'no group in the log has a definition; see firstcrank summary'
}

function cameWithout(groups: ReadonlyMap<number, number>): string {
  const named = [...groups].map(([pgn, messages]) => `PGN ${pgn} (${plural(messages, 'message')})`)
  return `no signals are defined for ${firstFew(named, 5)}`
}
