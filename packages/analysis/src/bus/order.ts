/** Findings about how the bus was used: addresses, load, late and incomplete messages. */
import type { BusEvent } from '@firstcrank/decoder'
import type { Evidence, Limit, Span } from '../model.js'
import { without } from '../series.js'
import { type BusCheck, type BusContext, counted } from './context.js'
import type { ChannelSilences } from './silences.js'
import { lateIn, type Sender } from './traffic.js'

const SHOWN = 6
/** A message this many periods after the one before is late, if it is not missing. Source: our own choice. */
const LATE_PERIODS = 1.5
/** Fewer intervals of a node make no share. Source: common practice. */
const ENOUGH_INTERVALS = 50
/** Time that NAMEs have to settle who holds an address: five times the 250 ms of the standard, as in the decoder. */
const SETTLED_WITHIN = 1_250_000

type NodeEvent = Extract<BusEvent, { kind: 'node' }>
type TransportEvent = Extract<BusEvent, { kind: 'transport' }>

const percent = (share: number): number => Math.round(share * 1000) / 10

export const ADDRESSES: BusCheck = {
  id: 'address-conflict',
  title: 'One node per address',
  proves: 'No two nodes speak under one address.',
  judge: (bus) => {
    const { recording, titles } = bus
    const events = recording.events.filter((event): event is NodeEvent => event.kind === 'node')
    const conflicts = events.filter((event) => isConflict(event, events))
    const doubled = bus.channels.flatMap(({ senders }) => senders.filter((sender) => answersTwice(bus, sender)))
    if (conflicts.length === 0 && doubled.length === 0) {
      const settled = events.filter(({ code }) => code === 'contested').length
      if (!events.some(({ name }) => name !== null)) {
        return {
          verdict: 'not-judged',
          finding: 'Not judged: no node claims its address in this recording.',
          advice: 'Record from before key-on: nodes claim their addresses when they wake.',
        }
      }
      const note = settled === 0 ? '' : ` ${counted(settled, 'contest')} was settled as the standard has it.`
      return { verdict: 'pass', finding: `Every address was held by one NAME.${note}`, advice: 'Nothing to do.' }
    }
    const places = new Map<string, { channel: number; sa: number }>()
    for (const { channel, address } of conflicts) {
      if (address !== null) places.set(`${channel}/${address}`, { channel, sa: address })
    }
    for (const { channel, sa } of doubled) places.set(`${channel}/${sa}`, { channel, sa })
    const who = [...places.values()].map(({ channel, sa }) => titles.of(channel, sa)).join(', ')
    const evidence: Evidence[] = [
      ...conflicts
        .slice(0, SHOWN)
        .map((event) => ({ text: sentenceOf(event), from: event.time, to: event.time, signals: [] })),
      ...doubled.map(({ sa, firstTime, lastTime }) => ({
        text: `From address ${sa} come two different answers to who it is.`,
        from: firstTime,
        to: lastTime,
        signals: [],
      })),
    ]
    return {
      verdict: 'fail',
      finding: `Two nodes want one address: ${who || 'a NAME found no address'}.`,
      advice:
        'Key off, unplug the node that was added or set last, key on again: what still speaks under the address is its rightful owner. Then give the other one an address of its own.',
      evidence,
      cautions: ['key-off-measuring'],
    }
  },
}

/** A claim that nobody settled: the loser stayed, or found no other address. */
function isConflict(event: NodeEvent, events: readonly NodeEvent[]): boolean {
  if (event.code === 'cannot-claim') return true
  if (event.code !== 'contested' || event.name === null || event.holder === null) return false
  const loser = event.name.value < event.holder.value ? event.holder : event.name
  const moved = events.some(
    ({ code, channel, address, time, name }) =>
      (code === 'address-changed' || code === 'claimed') &&
      channel === event.channel &&
      address !== event.address &&
      name?.value === loser.value &&
      time >= event.time &&
      time <= event.time + SETTLED_WITHIN,
  )
  return !moved
}

function sentenceOf({ code, address, name, holder }: NodeEvent): string {
  const hex = (value: bigint | undefined): string => (value ?? 0n).toString(16).toUpperCase().padStart(16, '0')
  if (code === 'cannot-claim') return `NAME ${hex(name?.value)} says that it holds no address.`
  return `NAME ${hex(name?.value)} claims address ${address}, which NAME ${hex(holder?.value)} holds.`
}

/** Whether a node gives two different texts about itself under one group. */
function answersTwice({ summary }: BusContext, { channel, sa }: Sender): boolean {
  const node = summary.nodes.find((candidate) => candidate.channel === channel && candidate.sa === sa)
  const pgns = (node?.identifications ?? []).map(({ pgn }) => pgn)
  return new Set(pgns).size < pgns.length
}

export const BUS_LOAD: BusCheck = {
  id: 'bus-load',
  title: 'Room on the bus',
  proves: 'Messages are not held up by too many others.',
  judge: ({ summary, limits, recording }) => {
    const busiest = [...summary.loads].sort((a, b) => b.maximum.load - a.maximum.load)[0]
    if (busiest === undefined || busiest.mean === null || busiest.observed < 1 || recording.counts.extended === 0) {
      return {
        verdict: 'not-judged',
        finding: 'Not judged: less than a second of J1939 was recorded.',
        advice: 'Record at least some seconds with the key on, on the right pair of wires.',
      }
    }
    const used: readonly Limit[] = [limits['bus-load.pass-below'], limits['bus-load.caution-to']]
    const load = percent(busiest.maximum.load)
    const rate = busiest.bitRate.value / 1000
    const basis = busiest.bitRate.basis === 'assumed' ? `, taking ${rate} kbit/s for granted` : ` of ${rate} kbit/s`
    const name = recording.channels[busiest.channel] ?? String(busiest.channel)
    const finding = `${load} % in the busiest second, ${percent(busiest.mean)} % on average on ${name}${basis}.`
    const second: Span = { from: busiest.maximum.time, to: busiest.maximum.time + 1_000_000 }
    const result = {
      finding,
      measured: { value: load, unit: '%', uncertainty: null } as const,
      limits: used,
      evidence: [{ text: finding, ...second, signals: [] }],
    }
    if (load < limits['bus-load.pass-below'].value) return { ...result, verdict: 'pass', advice: 'Nothing to do.' }
    const advice = 'Find who sends more than the standard asks for: `firstcrank summary` lists messages by sender.'
    if (load <= limits['bus-load.caution-to'].value) return { ...result, verdict: 'caution', advice }
    // On a faster bus it would be less: nothing to condemn a bus for.
    return { ...result, verdict: busiest.bitRate.basis === 'assumed' ? 'caution' : 'fail', advice }
  },
}

export const LATE_MESSAGES: BusCheck = {
  id: 'late-messages',
  title: 'Messages on time',
  proves: 'Regular messages come in their rhythm.',
  judge: ({ limits, channels, titles }) => {
    const limit = limits['late-messages.pass-to']
    const nodes = channels.flatMap(({ senders, awake, silences }) =>
      senders.map((sender) => {
        const spans = awake.flatMap((span) => without(span, explained(silences, sender)))
        const parts = sender.pulses.flatMap((pulse) => spans.map((span) => lateIn(pulse, span, LATE_PERIODS)))
        const late = parts.reduce((sum, part) => sum + part.late, 0)
        const of = parts.reduce((sum, part) => sum + part.of, 0)
        return { sender, late, of }
      }),
    )
    const judged = nodes.filter(({ of }) => of >= ENOUGH_INTERVALS)
    if (judged.length === 0) {
      return {
        verdict: 'not-judged',
        finding: 'Not judged: nobody sends in a steady rhythm.',
        advice: 'Record from key-on to key-off with every node connected.',
      }
    }
    const [worst] = judged.sort((a, b) => b.late / b.of - a.late / a.of) as [(typeof judged)[0]]
    const { channel, sa, firstTime, lastTime } = worst.sender
    const share = percent(worst.late / worst.of)
    const finding = `${share} % of the regular messages of ${titles.of(channel, sa)} came more than half a period late; of every other node, no more.`
    const common = { finding, measured: { value: share, unit: '%', uncertainty: null } as const, limits: [limit] }
    if (share <= limit.value) return { ...common, verdict: 'pass', advice: 'Nothing to do.' }
    return {
      ...common,
      verdict: 'caution',
      advice:
        'Look at bus load and silences first. A recorder that stamps frames late looks the same: record with another one.',
      evidence: [{ text: `${worst.late} of ${worst.of} intervals.`, from: firstTime, to: lastTime, signals: [] }],
    }
  },
}

/** The silences that belong to a node, in order of time: what comes behind them is late for a reason said elsewhere. */
function explained({ whole, restarts, silent }: ChannelSilences, sender: Sender): Span[] {
  const own = [...restarts, ...silent].filter((silence) => silence.sender === sender)
  return [...whole, ...own].sort((a, b) => a.from - b.from)
}

export const LONG_MESSAGES: BusCheck = {
  id: 'long-messages',
  title: 'Long messages arrive whole',
  proves: 'Messages of several frames, such as lists of several faults, were not torn.',
  judge: (bus) => {
    const { recording, summary, limits } = bus
    const limit = limits['long-messages.pass-to']
    const torn = recording.events.filter(
      (event): event is TransportEvent =>
        event.kind === 'transport' && Object.hasOwn(TORN, event.code) && !isExplained(bus, event),
    )
    const all = summary.transport.completed + torn.length
    if (all === 0) {
      return {
        verdict: 'not-judged',
        finding: 'Not judged: no node sent a message of several frames.',
        advice: 'Nothing is wrong with that: short fault lists need none.',
      }
    }
    const share = percent(torn.length / all)
    const finding = `${torn.length} of ${counted(all, 'long message')} stayed incomplete.`
    const common = { finding, measured: { value: share, unit: '%', uncertainty: null } as const, limits: [limit] }
    if (share <= limit.value) return { ...common, verdict: 'pass', advice: 'Nothing to do.' }
    return {
      ...common,
      verdict: 'caution',
      advice:
        'Look at silences and bus load first. What stayed incomplete may have been a fault list: read faults with care.',
      evidence: torn.slice(0, SHOWN).map((event) => ({
        text: `From address ${event.sa}: ${TORN[event.code]}.`,
        from: event.time,
        to: event.time,
        signals: [],
      })),
    }
  },
}

/** How a message that was announced can be lost on the bus; one cut off by the recording's end is none. */
const TORN: Readonly<Record<string, string>> = {
  replaced: 'the next one began before it was whole',
  'timed-out': 'nothing more of it came',
  aborted: 'one of the two nodes broke it off',
  'missing-packets': 'parts of it are not in the recording',
  'conflicting-packet': 'a part came twice, with other content',
}

/** Whether a silence said of elsewhere, or the key, cut a message off. */
function isExplained({ channels }: BusContext, event: TransportEvent): boolean {
  const channel = channels.find(({ index }) => index === event.channel)
  if (channel === undefined) return false
  const from = event.firstTime
  const { whole, restarts, silent, gone } = channel.silences
  const near = [...whole, ...restarts, ...silent, ...gone].some((span) => span.from <= event.time && from <= span.to)
  return near || !channel.awake.some((span) => span.from <= from && event.time <= span.to)
}
