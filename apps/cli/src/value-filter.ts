/** Which values somebody wants to see. All conditions hold together. */
import type { Arguments } from './arguments.js'
import { CommandError } from './command-error.js'
import { type TimeBound, timeBound, wholeNumbers } from './numbers.js'

/** A filter; what is undefined is not looked at. */
export interface ValueFilter {
  readonly spns: ReadonlySet<number> | undefined
  readonly pgns: ReadonlySet<number> | undefined
  readonly sas: ReadonlySet<number> | undefined
  readonly channels: ReadonlySet<string> | undefined
  /** Both ends included. */
  readonly from: TimeBound | undefined
  readonly to: TimeBound | undefined
}

/**
 * The filter that the options describe.
 *
 * @throws {CommandError} 2
 */
export function valueFilter(args: Arguments): ValueFilter {
  const numbers = (name: 'spn' | 'pgn' | 'sa') => {
    const words = args.texts(name)
    return words === undefined ? undefined : new Set(wholeNumbers(name, words))
  }
  const channels = args.texts('channel')
  const [from, to] = [boundOf(args, 'from'), boundOf(args, 'to')]
  if (from !== undefined && to !== undefined && from.from === to.from && from.micros > to.micros) {
    throw new CommandError(2, `--from ${args.text('from')} is later than --to ${args.text('to')}`)
  }
  return {
    spns: numbers('spn'),
    pgns: numbers('pgn'),
    sas: numbers('sa'),
    channels: channels === undefined ? undefined : new Set(channels),
    from,
    to,
  }
}

/** Whether the messages of a stream pass the filter, as far as it is not about single signals and times. */
export function isWantedStream(
  { pgns, sas, channels }: ValueFilter,
  { channel, pgn, sa }: { readonly channel: string; readonly pgn: number; readonly sa: number },
): boolean {
  return (pgns?.has(pgn) ?? true) && (sas?.has(sa) ?? true) && (channels?.has(channel) ?? true)
}

function boundOf(args: Arguments, name: 'from' | 'to'): TimeBound | undefined {
  const word = args.text(name)
  return word === undefined ? undefined : timeBound(name, word)
}

/** A bound on the log's own time line, in microseconds. */
export function resolveBound(bound: TimeBound | undefined, start: number, otherwise: number): number {
  if (bound === undefined) return otherwise
  return bound.from === 'epoch' ? bound.micros : start + bound.micros
}
