/** Silences of the bus and of single nodes beside the faults that speak of them. */
import { findSignals } from '@firstcrank/decoder/catalog'
import { framesOf } from '../../bus/controller-state.js'
import type { NodeSilence } from '../../bus/silences.js'
import type { Span } from '../../model.js'
import { SECOND, windowOf } from '../../series.js'
import type { FaultContext } from '../context.js'
import type { ActiveFault } from '../finding.js'
import { FIRST_NODE_SPN, LAST_NODE_SPN } from '../knowledge/index.js'
import { list, number, type Sight, seconds, sight, times, volts } from '../sight.js'
import { voltsAt } from './power.js'

/** A node reports a missing message within so long. Source: common practice. */
const REPORTED = 6 * SECOND
/** A node that is silent for so long, and so many of its periods, may be missed. Source: common practice. */
const QUIET = 0.3 * SECOND
const QUIET_PERIODS = 5
/** Supply that is good enough for any controller, V. Common practice. */
const GOOD_SUPPLY = 11

/** Silences that began or ended shortly before a fault was reported. */
function before<S extends Span>(silences: readonly S[], faults: readonly ActiveFault[]): S[] {
  const onsets = faults.flatMap(({ episodes }) => episodes.map(({ firstSeen }) => firstSeen))
  return silences.filter(({ from, to }) => onsets.some((onset) => onset >= from && onset <= to + REPORTED))
}

/** `bus-silent`: every node is silent at once. */
export function busSilent(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const whole = context.silences.whole.filter(({ kind }) => kind !== 'recorder')
  const found = before(whole, faults)
  const first = found[0]
  if (first === undefined)
    return sight(false, 'No moment in which every node was silent goes with it.', faults[0] ?? context.span)
  const longest = Math.max(...found.map(({ from, to }) => to - from))
  return sight(
    true,
    `Every node falls silent at once, ${times(whole.length)}, for up to ${seconds(longest)}; the faults come right behind.`,
    first,
  )
}

/** `error-frames`: the recorder took down errors on the wire of these nodes. */
export function errorFrames(context: FaultContext): Sight | null {
  const { recording } = context
  const own = framesOf(recording, recording.channels.indexOf(context.channel))
  if (own.length === 0) return null
  const count = own.length === recording.errorFrames.length ? recording.counts.error : own.length
  const times = own.map(({ time }) => time)
  return sight(
    true,
    `${count} error ${count === 1 ? 'frame was' : 'frames were'} recorded: the wire itself was disturbed, as far as the recorder can tell.`,
    { from: Math.min(...times), to: Math.max(...times) },
  )
}

/** `several-nodes-report`. */
export function severalNodesReport(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const nodes = [...new Set(faults.map(({ sa }) => sa))].sort((a, b) => a - b)
  const span = { from: Math.min(...faults.map(({ from }) => from)), to: Math.max(...faults.map(({ to }) => to)) }
  if (nodes.length < 2) return null
  return sight(
    true,
    `Nodes ${list(nodes.map(String))} report it, not one alone.`,
    faults.length > 0 ? span : context.span,
  )
}

/** `node-restarted`: a node claims its address anew with the key on. */
export function nodeRestarted(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const found = before(context.silences.restarts, faults)
  const first = found[0]
  if (first === undefined) {
    return sight(false, 'No node claimed its address anew: none lost its supply.', faults[0] ?? context.span)
  }
  return sight(true, `Address ${first.sender.sa} was silent and claimed its address anew: it restarted.`, first)
}

/** `one-node-silent`: one node falls silent while others go on. */
export function oneNodeSilent(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const { silent, gone, restarts } = context.silences
  const all: readonly NodeSilence[] = [...silent, ...gone, ...restarts]
  const named = namedAddresses(faults)
  const found = before(all, faults).filter(
    ({ sender }) => !faults.every(({ sa }) => sa === sender.sa) && (named.length === 0 || named.includes(sender.sa)),
  )
  const first = found[0]
  if (first === undefined)
    return sight(false, 'No single node was silent while the others went on.', faults[0] ?? context.span)
  const addresses = [...new Set(found.map(({ sender }) => sender.sa))]
  if (addresses.length > 2) return null
  return sight(
    true,
    `Address ${list(addresses.map(String))} is silent for ${seconds(first.to - first.from)} while the others go on.`,
    first,
  )
}

/** `nothing-missing`: the messages are all there in the recording. */
export function nothingMissing(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const { silent, gone, restarts, whole } = context.silences
  const found = before<Span>([...silent, ...gone, ...restarts, ...whole], faults)
  const span = faults[0] ?? context.span
  if (found.length > 0) return sight(false, 'Messages are missing in the recording too.', found[0] ?? span)
  // A silence with the key off is none of the bus, and still no proof that everything was there.
  if (faults.some((fault) => isQuietBefore(context, fault))) return null
  const text = 'No message is missing in the recording around the fault: the sender sent, and the recorder heard it.'
  return sight(true, text, span)
}

/** Whether some other node kept silent shortly before a fault was reported, whatever the key. */
function isQuietBefore(context: FaultContext, { sa, episodes }: ActiveFault): boolean {
  return context.senders.some((sender) => {
    const [pulse] = sender.pulses
    if (pulse === undefined || sender.sa === sa) return false
    const longest = Math.max(QUIET, QUIET_PERIODS * pulse.period)
    return episodes.some(({ firstSeen }) => {
      const times = windowOf({ time: pulse.time, value: pulse.time }, firstSeen - REPORTED, firstSeen).time
      const edges = [firstSeen - REPORTED, ...times, firstSeen]
      return edges.some((edge, index) => index > 0 && edge - (edges[index - 1] as number) > longest)
    })
  })
}

/** `supply-good-then`: the supply was fine when the fault came. */
export function supplyGoodThen(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const readings = faults.flatMap(({ episodes }) =>
    episodes.flatMap(({ firstSeen }) => voltsAt(context, firstSeen) ?? []),
  )
  if (readings.length === 0) return null
  const least = Math.min(...readings)
  const first = faults[0] ?? context.span
  const good = least >= GOOD_SUPPLY * context.voltage
  return sight(
    good,
    `When it came the supply was ${volts(least)}${good ? '' : ': any controller may misjudge then'}.`,
    first,
    [context.voltsRef],
  )
}

/** `at-speed-only`: it comes only above some engine speed, as with vibration. */
export function atSpeedOnly(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const speed = context.valid(190)
  const onsets = faults.flatMap(({ episodes }) => episodes.map(({ firstSeen }) => firstSeen))
  if (onsets.length < 3 || speed.time.length === 0) return null
  const idling = context.during(['idle-settle', 'idle', 'warm-idle'])
  const atIdle = onsets.filter((onset) => idling.some(({ from, to }) => onset - 2 * SECOND >= from && onset <= to))
  if (idling.length === 0) return null
  const share = atIdle.length / onsets.length
  const first = faults[0] ?? context.span
  if (share === 0)
    return sight(true, `All ${number(onsets.length, 0)} come above idle, none at idle: as with vibration.`, first, [
      context.ref(190),
    ])
  return null
}

/** `address-claimed-twice`: two NAMEs want one address. */
export function addressClaimedTwice(context: FaultContext): Sight | null {
  const channel = context.recording.channels.indexOf(context.channel)
  const events = context.recording.events.filter(
    (event) =>
      event.kind === 'node' &&
      event.channel === channel &&
      (event.code === 'contested' || event.code === 'taken-over' || event.code === 'cannot-claim'),
  )
  const first = events[0]
  if (first === undefined || first.kind !== 'node') return null
  const address = first.address === null ? 'an address' : `address ${first.address}`
  return sight(true, `Two NAMEs claim ${address}, ${times(events.length)} in this recording.`, {
    from: first.time,
    to: events.at(-1)?.time ?? first.time,
  })
}

/** Addresses that faults name by SPN 2000 and up. */
function namedAddresses(faults: readonly ActiveFault[]): number[] {
  return faults.flatMap(({ spn }) => (spn >= FIRST_NODE_SPN && spn <= LAST_NODE_SPN ? [spn - FIRST_NODE_SPN] : []))
}

/** `never-heard`: the node or the message a fault misses is not in the recording at all. */
export function neverHeard(context: FaultContext, faults: readonly ActiveFault[]): Sight | null {
  const span = context.span
  for (const address of namedAddresses(faults)) {
    const heard = context.senders.some(({ sa }) => sa === address)
    if (!heard) return sight(true, `Address ${address}, which is missed, is never heard in this recording.`, span)
  }
  for (const { spn, sa, name, class: faultClass } of faults) {
    const groups = faultClass === 'late' || faultClass === 'invalid' ? findSignals(spn).map(({ group }) => group) : []
    if (groups.length === 0) continue
    const pgns = new Set(groups.map(({ pgn }) => pgn))
    const sent = context.senders.some((sender) => sender.sa !== sa && sender.streams.some(({ pgn }) => pgns.has(pgn)))
    if (!sent) {
      return sight(
        true,
        `Nobody but address ${sa} sends a message with ${name} (group ${[...pgns].join(' or ')}).`,
        span,
      )
    }
    return sight(false, `A message with ${name} is sent by another node.`, span)
  }
  return null
}
