/**
 * The engines of a recording, and each one's signals wherever they come from: its own controller
 * first, a second address of the same controller next, other nodes only where that is right.
 */
import type { Name, Recording, Samples, Signal } from '@firstcrank/decoder'
import type { SignalRef } from './model.js'
import { periodOfStream } from './rhythm.js'
import { NO_SAMPLES, periodOf, validOf, valuesAt } from './series.js'

/** Engine speed, and the group that is its home. */
const SPEED_SPN = 190
const SPEED_PGN = 61444
/** Groups only an engine's controller sends: pedal and load, temperatures, fluids, intake, fuel. From memory. */
const ENGINE_PGNS: readonly number[] = [61443, 65262, 65263, 65270, 65266]
/** Preferred addresses of the first and the second engine (kernel's J1939 documentation; from memory). */
const ENGINE_ADDRESSES: readonly number[] = [0, 1]
/** NAME function of an engine (from memory). */
const ENGINE_FUNCTION = 0

/**
 * What any node may tell of an engine, for it is the same thing for all of them: ambient air, the
 * vehicle's speed and switches, the supply, fuel level, pedal.
 */
const SHARED_SPNS: ReadonlySet<number> = new Set([
  108, 171, 84, 70, 597, 598, 96, 158, 167, 168, 115, 91, 29, 558, 959, 960, 961, 962, 963, 964,
])
/** What only an engine's own controller knows; a repeat of it by another node is hearsay. */
const OWN_SPNS: ReadonlySet<number> = new Set([190, 92, 100, 110, 1675, 3543, 247, 512, 513, 515, 188])

/** Two nodes repeat one another where their speeds never differ by more, in rpm, at nearly all instants. */
const SAME_SPEED = 30
const SAME_SHARE = 0.9
/** A value is taken to be in force for this many periods of its message. Source: common practice. */
const HOLD_PERIODS = 3

/** One engine of a recording. */
export interface EngineView {
  readonly recording: Recording
  /** Name of the interface. */
  readonly channel: string
  readonly sa: number
  /** How it was recognised: by its speed messages, by its claim, or by other engine messages only. */
  readonly basis: 'speed' | 'claim' | 'messages'
  /** Whether it is the only engine of the recording. */
  readonly alone: boolean
  /** The signal that says this of the engine; undefined where nobody sends its group. It may hold no value. */
  signal(spn: number): Signal | undefined
  /** Where {@link signal} is. */
  signalRef(spn: number): SignalRef | undefined
  /** Whether the signal is there and holds a value at least once. */
  has(spn: number): boolean
  /** Times and values, NaN where there was none; empty where nobody sends it. The same columns each time. */
  samples(spn: number): Samples
  /** {@link samples} that hold a value. The same columns each time. */
  valid(spn: number): Samples
  /** The usual time between its messages, in microseconds; null where it cannot be said. */
  period(spn: number): number | null
  /** How long a value is in force: three periods, in microseconds. */
  hold(spn: number): number
}

/** Where a signal of a recording is. */
export function refOf(recording: Recording, signal: Signal): SignalRef {
  const { stream, instance } = signal
  const channel = recording.channels[stream.channel] ?? String(stream.channel)
  const ref = { channel, sa: stream.sa, pgn: stream.pgn, spn: signal.spn }
  return instance === undefined ? ref : { ...ref, instance }
}

/** Every engine of a recording, those that tell their speed first, then by interface and address. */
export function findEngines(recording: Recording): EngineView[] {
  const found = candidates(recording)
  return found.map((candidate) => new View(recording, candidate, found))
}

interface Candidate {
  readonly channel: string
  readonly sa: number
  readonly basis: EngineView['basis']
  readonly messages: number
  /** The NAME it claimed, if any. */
  readonly name: bigint | undefined
}

function candidates(recording: Recording): Candidate[] {
  const names = claimedNames(recording)
  const senders = new Map<string, { channel: string; sa: number; pgns: Set<number>; messages: number }>()
  for (const stream of recording.streams) {
    const channel = recording.channels[stream.channel] ?? String(stream.channel)
    const key = `${channel}/${stream.sa}`
    const sender = senders.get(key) ?? { channel, sa: stream.sa, pgns: new Set<number>(), messages: 0 }
    sender.pgns.add(stream.pgn)
    sender.messages += stream.count
    senders.set(key, sender)
  }
  const all = [...senders.values()].flatMap((sender): Candidate[] => {
    const { channel, sa, pgns, messages } = sender
    const claimed = names.get(`${channel}/${sa}`)
    const isEngine = claimed?.function === ENGINE_FUNCTION
    const isOther = claimed !== undefined && !isEngine
    const found = { channel, sa, messages, name: claimed?.value }
    const own = ENGINE_PGNS.filter((pgn) => pgns.has(pgn)).length
    const atHome = ENGINE_ADDRESSES.includes(sa)
    const mayBe = isEngine || (!isOther && (atHome || own > 0))
    if (mayBe && pgns.has(SPEED_PGN) && speedOf(recording, { channel, sa }).time.length > 0) {
      return [{ ...found, basis: 'speed' }]
    }
    if (isEngine) return [{ ...found, basis: 'claim' }]
    return atHome && !isOther && own > 0 ? [{ ...found, basis: 'messages' }] : []
  })
  const withSpeed = all.filter(({ basis }) => basis === 'speed')
  const engines = withSpeed.length > 0 ? withoutRepeats(recording, withSpeed) : all
  return engines.sort((a, b) => a.channel.localeCompare(b.channel, 'en') || a.sa - b.sa)
}

/** NAME by interface and address, of the last claim. */
function claimedNames(recording: Recording): Map<string, Name> {
  const names = new Map<string, Name>()
  for (const event of recording.events) {
    if (event.kind !== 'node' || event.address === null || event.name === null || event.code === 'commanded') continue
    if (event.code === 'cannot-claim') continue
    names.set(`${recording.channels[event.channel]}/${event.address}`, event.name)
  }
  return names
}

/**
 * One engine can be heard twice: two interfaces on one bus, or a gateway that repeats it. Two senders
 * with one NAME, or whose speeds agree throughout, are one; the one with more messages stays.
 */
function withoutRepeats(recording: Recording, engines: readonly Candidate[]): Candidate[] {
  const kept: Candidate[] = []
  for (const engine of [...engines].sort((a, b) => b.messages - a.messages)) {
    const isRepeat = kept.some(
      (other) =>
        (engine.name !== undefined && engine.name === other.name) ||
        sameSpeed(speedOf(recording, engine), speedOf(recording, other)),
    )
    if (!isRepeat) kept.push(engine)
  }
  return kept
}

function speedOf(recording: Recording, { channel, sa }: Pick<Candidate, 'channel' | 'sa'>): Samples {
  const signal = recording.signal({ channel, sa, pgn: SPEED_PGN, spn: SPEED_SPN })
  return signal === undefined ? NO_SAMPLES : validOf(signal.samples())
}

/** Whether two speed traces are of one crankshaft. Where both stand still all the time nobody can say: no. */
function sameSpeed(a: Samples, b: Samples): boolean {
  const others = valuesAt(b, a.time, HOLD_PERIODS * Math.max(periodOf(a.time) ?? 0, periodOf(b.time) ?? 0))
  let compared = 0
  let same = 0
  let turning = 0
  for (let i = 0; i < others.length; i++) {
    const other = others[i] as number
    if (Number.isNaN(other)) continue
    compared++
    if (other > 0) turning++
    if (Math.abs(other - (a.value[i] as number)) <= SAME_SPEED) same++
  }
  return turning > 0 && same >= SAME_SHARE * compared
}

class View implements EngineView {
  readonly recording: Recording
  readonly channel: string
  readonly sa: number
  readonly basis: EngineView['basis']
  readonly alone: boolean
  readonly #others: readonly Candidate[]
  readonly #signals = new Map<number, Signal | undefined>()
  readonly #samples = new Map<number, Samples>()
  readonly #valid = new Map<number, Samples>()

  constructor(recording: Recording, { channel, sa, basis }: Candidate, all: readonly Candidate[]) {
    this.recording = recording
    this.channel = channel
    this.sa = sa
    this.basis = basis
    this.alone = all.length === 1
    this.#others = all.filter((other) => other.channel !== channel || other.sa !== sa)
  }

  signal(spn: number): Signal | undefined {
    if (!this.#signals.has(spn)) this.#signals.set(spn, this.#choose(spn))
    return this.#signals.get(spn)
  }

  signalRef(spn: number): SignalRef | undefined {
    const signal = this.signal(spn)
    return signal && refOf(this.recording, signal)
  }

  has(spn: number): boolean {
    return this.valid(spn).time.length > 0
  }

  samples(spn: number): Samples {
    const known = this.#samples.get(spn)
    if (known !== undefined) return known
    const samples = this.signal(spn)?.samples() ?? NO_SAMPLES
    this.#samples.set(spn, samples)
    return samples
  }

  valid(spn: number): Samples {
    const known = this.#valid.get(spn)
    if (known !== undefined) return known
    const valid = validOf(this.samples(spn))
    this.#valid.set(spn, valid)
    return valid
  }

  period(spn: number): number | null {
    const signal = this.signal(spn)
    return signal === undefined ? null : periodOfStream(signal.stream)
  }

  hold(spn: number): number {
    return HOLD_PERIODS * (this.period(spn) ?? 0)
  }

  /** The first of own, second address, other nodes that holds values; without any, the first that is sent. */
  #choose(spn: number): Signal | undefined {
    const signals = this.recording.signals({ spn })
    const ranked = signals
      .map((signal) => ({ signal, rank: this.#rank(signal), home: signal.group.pgn === SPEED_PGN ? 0 : 1 }))
      .filter(({ rank }) => rank < Number.POSITIVE_INFINITY)
      .sort((a, b) => a.rank - b.rank || a.home - b.home || b.signal.count - a.signal.count)
    return (ranked.find(({ signal }) => signal.hasValues()) ?? ranked[0])?.signal
  }

  /** 0 own, 1 a second address of the same engine, 2 another node; infinite where it says nothing of this engine. */
  #rank(signal: Signal): number {
    const { stream, spn } = signal
    const sameChannel = this.recording.channels[stream.channel] === this.channel
    if (sameChannel && stream.sa === this.sa) return 0
    const isAnotherEngine = this.#others.some(
      ({ channel, sa }) => stream.sa === sa && this.recording.channels[stream.channel] === channel,
    )
    if (isAnotherEngine) return Number.POSITIVE_INFINITY
    const isCompanion = sameChannel && this.alone && ENGINE_ADDRESSES.includes(stream.sa)
    if (isCompanion) return 1
    if (SHARED_SPNS.has(spn)) return sameChannel ? 2 : 3
    return sameChannel && this.alone && !OWN_SPNS.has(spn) ? 2 : Number.POSITIVE_INFINITY
  }
}
