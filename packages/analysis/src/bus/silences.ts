/**
 * What a silence was: the recorder's, the bus's, or one node's, and whether a node restarted. A hole
 * in the recording is silent on every node and nobody on the bus minds; a hole in the bus is missed
 * by the nodes, which say so.
 */
import type { BusEvent, Episode, Recording } from '@firstcrank/decoder'
import type { Span } from '../model.js'
import { SECOND, without } from '../series.js'
import { awakeDuring, type KeyTimes } from './awake.js'
import { type ControllerStretch, controllerStretches, framesOf } from './controller-state.js'
import { isHeard, type Sender, shortestSilence, silencesOf } from './traffic.js'

/** Silent nodes of one channel, all at once. */
export interface ChannelSilence extends Span {
  /**
   * `recorder`: nobody on the bus noticed, or the recorder was off the bus. `bus`: nodes noticed, or error
   * frames were recorded then. `restart`: nodes claimed their addresses anew behind it. `unclear`: too short
   * for any node to notice.
   */
  readonly kind: 'recorder' | 'bus' | 'restart' | 'unclear'
  readonly why: string
}

/** A node that said nothing while others went on. */
export interface NodeSilence extends Span {
  readonly sender: Sender
}

/** A node that claimed its address anew with the key on, and nobody had asked. */
export interface Restart extends NodeSilence {
  /** When it claimed; the silence ends there. */
  readonly claimedAt: number
}

/** A node that fell silent for good while the key was on, in `from`. */
export interface Gone extends NodeSilence {}

/** Everything found about one channel. */
export interface ChannelSilences {
  readonly whole: readonly ChannelSilence[]
  readonly restarts: readonly Restart[]
  readonly silent: readonly NodeSilence[]
  readonly gone: readonly Gone[]
}

/** Shorter silences no node is known to notice: common time-outs are some periods of a slow message. Source: common practice. */
const NOTICED = SECOND
/** How long after a silence a node may take to report it. Source: common practice. */
const REPORTED_WITHIN = 6 * SECOND
/** Nodes wake one after the other and wait before they send; silences of the first moments say nothing. Source: common practice. */
const WAKING = 3 * SECOND
/** A claim this close behind a silence ended it. The wait after a claim is 0.25 s (kernel's J1939 documentation). */
const CLAIM_AFTER = 0.5 * SECOND
/** Of a node silent for good: so many of its periods, and so long, before the key was turned off. Source: common practice. */
const GONE_PERIODS = 10
const GONE = 5 * SECOND
/** Error frames this close to a silence belong to it. Source: common practice. */
const ERROR_NEAR = SECOND

/** SPNs of the networks themselves, and the FMIs of messages that fail to come or come invalid. From memory. */
const NETWORK_SPNS: ReadonlySet<number> = new Set([639, 1231, 1235])
const NETWORK_FMIS: ReadonlySet<number> = new Set([9, 19])
/** SPN 2000 and up: the node with that source address is missing. From memory. */
const FIRST_NODE_SPN = 2000
const LAST_NODE_SPN = 2255

/** Claims by which a node tells that it has just woken. */
const WAKING_CLAIMS: ReadonlySet<string> = new Set(['claimed', 'reclaimed', 'address-changed'])

/** Whether a fault says that messages did not come. */
export function isNetworkFault({ spn, fmi }: Pick<Episode, 'spn' | 'fmi'>): boolean {
  return NETWORK_FMIS.has(fmi) || NETWORK_SPNS.has(spn) || (spn >= FIRST_NODE_SPN && spn <= LAST_NODE_SPN)
}

/** The silences of one channel while it had to be awake. */
export function findSilences(
  recording: Recording,
  senders: readonly Sender[],
  { awake, turning }: KeyTimes,
): ChannelSilences {
  const woken = senders.flatMap((sender) => restartsOf(recording, sender, awake))
  const restarts = woken.filter((restart) => !isKeyTurn(restart, woken, turning))
  const whole = wholeSilences(recording, senders, awake, restarts)
  const silent = senders.flatMap((sender) => silentOf(sender, awake, restarts, whole))
  return { whole, restarts, silent, gone: senders.flatMap((sender) => goneOf(sender, senders, awake)) }
}

function restartsOf(recording: Recording, sender: Sender, awake: readonly Span[]): Restart[] {
  return recording.events.flatMap((event) => {
    if (!isWakingClaim(event, sender)) return []
    const from = lastBefore(sender, event.time)
    if (from === undefined) return []
    const span = { from, to: event.time }
    return awakeDuring(awake, span) === undefined ? [] : [{ ...span, sender, claimedAt: event.time }]
  })
}

/** Several nodes that wake at once with the engine at rest: somebody turned the key off and on. */
function isKeyTurn(restart: Restart, all: readonly Restart[], turning: readonly Span[]): boolean {
  if (turning.some((span) => span.from <= restart.to && restart.from <= span.to)) return false
  return all.some((other) => other.sender !== restart.sender && Math.abs(other.claimedAt - restart.claimedAt) <= WAKING)
}

function isWakingClaim(event: BusEvent, { channel, sa }: Sender): boolean {
  return (
    event.kind === 'node' &&
    event.channel === channel &&
    event.address === sa &&
    WAKING_CLAIMS.has(event.code) &&
    !event.asked
  )
}

/** The last message of a node before a time. */
function lastBefore({ streams }: Sender, time: number): number | undefined {
  const times = streams.flatMap((stream) => {
    const row = stream.rowAt(time) - 1
    return row < 0 ? [] : [stream.time(row)]
  })
  return times.length === 0 ? undefined : Math.max(...times)
}

function wholeSilences(
  recording: Recording,
  senders: readonly Sender[],
  awake: readonly Span[],
  restarts: readonly Restart[],
): ChannelSilence[] {
  const pulse = senders.flatMap(({ pulses }) => pulses).sort((a, b) => a.period - b.period)[0]
  if (pulse === undefined) return []
  const streams = senders.flatMap((sender) => sender.streams)
  const spans = silencesOf(streams, pulse).filter((span) => inAwake(awake, span))
  const off = controllerStretches(recording, pulse.stream.channel).filter(({ state }) => state === 'bus-off')
  const found = spans.map((span) => ({ ...span, ...meaningOf(recording, senders, span, restarts, off) }))
  if (!found.some(({ kind }) => kind === 'bus')) return found
  return found.map((silence) =>
    (silence.kind === 'unclear' || silence.kind === 'recorder') && silence.why !== OFF_BUS
      ? { ...silence, kind: 'bus' as const, why: 'Like the other silences of this recording, which nodes noticed.' }
      : silence,
  )
}

function meaningOf(
  recording: Recording,
  senders: readonly Sender[],
  span: Span,
  restarts: readonly Restart[],
  off: readonly ControllerStretch[],
): Pick<ChannelSilence, 'kind' | 'why'> {
  const woken = restarts.filter(({ claimedAt }) => claimedAt >= span.from && claimedAt <= span.to + CLAIM_AFTER)
  if (woken.length > 0) {
    return {
      kind: 'restart',
      why: `Behind it ${addresses(woken)} claimed anew: the supply of the whole bus broke down.`,
    }
  }
  const missed = recording.episodes.filter((episode) => isNetworkFault(episode) && beginsIn(episode, span))
  if (missed.length > 0) {
    return { kind: 'bus', why: `Nodes noticed: ${reports(missed)}.` }
  }
  const channel = senders[0]?.channel ?? 0
  if (off.some(({ from }) => from >= span.from && from <= span.to)) return { kind: 'recorder', why: OFF_BUS }
  const disturbed = errorsNear(recording, channel, span)
  if (disturbed === true) return { kind: 'bus', why: 'Error frames were recorded then.' }
  if (disturbed === undefined) return { kind: 'unclear', why: 'More error frames came than were kept.' }
  const others = recording.streams.filter((stream) => stream.channel !== channel)
  if (isHeard(others, span)) return { kind: 'unclear', why: 'The other interface went on: this one, or its bus.' }
  if (span.to - span.from < NOTICED) {
    return { kind: 'unclear', why: 'The bus or the recorder: it was too short for a node to report it.' }
  }
  return { kind: 'recorder', why: 'No node claimed anew and none reported that it missed another.' }
}

/** Why a hole is the recorder's where error frames say so. */
export const OFF_BUS = 'The recorder’s own controller had left the bus (bus-off).'

/** Whether error frames came in a silence or close to it; undefined where those of that time were not kept. */
function errorsNear(recording: Recording, channel: number, { from, to }: Span): boolean | undefined {
  const near = framesOf(recording, channel).some(({ time }) => time >= from - ERROR_NEAR && time <= to + ERROR_NEAR)
  const last = recording.errorFrames.at(-1)
  const isCut = last !== undefined && recording.counts.error > recording.errorFrames.length
  return near || (isCut && to > last.time ? undefined : false)
}

/** Who reported what, for a sentence. */
function reports(episodes: readonly Episode[]): string {
  return [...new Set(episodes.map(({ sa, spn, fmi }) => `address ${sa} lists SPN ${spn} FMI ${fmi}`))].join('; ')
}

/** Whether a fault came, or came again, in the moments behind a silence. */
function beginsIn({ firstSeen, occurrenceCounts }: Episode, { from, to }: Span): boolean {
  const until = to + REPORTED_WITHIN
  return [firstSeen, ...occurrenceCounts.map(({ time }) => time)].some((time) => time > from && time <= until)
}

/** Silences of one node, as far as others went on meanwhile. */
function silentOf(
  sender: Sender,
  awake: readonly Span[],
  restarts: readonly Restart[],
  whole: readonly Span[],
): NodeSilence[] {
  const pulse = sender.pulses[0]
  if (pulse === undefined) return []
  const own = restarts.filter((restart) => restart.sender === sender)
  return silencesOf(sender.streams, pulse)
    .filter(
      (span) => inAwake(awake, span) && !own.some(({ claimedAt }) => claimedAt >= span.from && claimedAt <= span.to),
    )
    .filter((span) => lengthOf(without(span, whole)) >= shortestSilence(pulse))
    .map((span) => ({ ...span, sender }))
}

function lengthOf(spans: readonly Span[]): number {
  return spans.reduce((sum, { from, to }) => sum + to - from, 0)
}

/** Inside an awake stretch, past its first moments. */
function inAwake(awake: readonly Span[], span: Span): boolean {
  const within = awakeDuring(awake, span)
  return within !== undefined && span.from >= within.from + WAKING
}

function goneOf(sender: Sender, senders: readonly Sender[], awake: readonly Span[]): Gone[] {
  const pulse = sender.pulses[0]
  if (pulse === undefined) return []
  const wait = Math.max(GONE, GONE_PERIODS * pulse.period)
  const others = senders.filter((other) => other !== sender).flatMap(({ streams }) => streams)
  return awake.flatMap((span) => {
    const from = lastBefore(sender, span.to + 1)
    if (from === undefined || from < span.from + WAKING || span.to - from < wait) return []
    const rest = { from, to: span.to }
    return isHeard(others, { from: from + wait, to: span.to }) ? [{ ...rest, sender }] : []
  })
}

/** Addresses for a sentence: `address 0`, `addresses 0, 3`. */
export function addresses(of: readonly { readonly sender: Sender }[]): string {
  const all = [...new Set(of.map(({ sender }) => sender.sa))].sort((a, b) => a - b)
  return `${all.length === 1 ? 'address' : 'addresses'} ${all.join(', ')}`
}

/** Silences as evidence, the longest first, at most `most` of them. */
export function longest<S extends Span>(spans: readonly S[], most: number): S[] {
  return [...spans].sort((a, b) => b.to - b.from - (a.to - a.from)).slice(0, most)
}
