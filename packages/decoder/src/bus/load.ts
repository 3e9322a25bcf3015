/** How busy each channel is, second by second, from the bits its frames take (see `frame-bits.ts`). */
import { BusError } from './error.js'
import { nominalBits, worstCaseBits } from './frame-bits.js'

/** The bit rates of J1939-11 and -15 (their titles) and of J1939-14 (from memory), in bits per second. */
export const BIT_RATES: readonly [250_000, 500_000] = [250_000, 500_000]

const SECOND = 1_000_000
/** A tenth of a second, for bursts. */
const BURST = 100_000
const BURSTS_PER_SECOND = SECOND / BURST
/**
 * More than this share of a tenth of a second at 250 kbit/s shows that the bus is faster. The margin is
 * for recorders that delay frames and then stamp them in a bunch: in open recordings of two trucks, taken
 * to be at 250 kbit/s, a tenth of a second stays below 0.65 and a hundredth reaches 1.03. The figure:
 * common practice.
 */
const BURST_PROOF = 1.2

/** A bit rate and how it is known. */
export interface BitRate {
  /** Bits per second. */
  readonly value: number
  /** Given by the user; inferred from more traffic than 250 kbit/s can carry; or merely the usual one. */
  readonly basis: 'given' | 'inferred' | 'assumed'
}

/** The load of one channel. Loads are shares: 1 is a bus without a pause. */
export interface ChannelLoad {
  readonly channel: number
  readonly bitRate: BitRate
  readonly frames: number
  readonly bits: number
  /** Seconds recorded: the time between frames, silences counted as one second at most. */
  readonly observed: number
  /** Load over the time recorded; null where that is less than a tenth of a second. */
  readonly mean: number | null
  /** The same frames with no stuff bit, and with as many as there can be. */
  readonly meanNominal: number | null
  readonly meanWorstCase: number | null
  /**
   * The busiest whole second of the clock, and when it began, in microseconds. Of a recording of about a
   * second no whole second of the clock may be there: the load is never given below the mean.
   */
  readonly maximum: { readonly load: number; readonly time: number }
  /**
   * False where `maximum` and `seconds` do not cover every frame: there were more seconds than are kept
   * (the first are), or the clock was set back and seconds came twice.
   */
  readonly complete: boolean
}

/** Load by second of the clock. Seconds without frames are left out. */
export interface LoadSeries {
  /** When each second began, in microseconds, ascending. */
  readonly time: Float64Array
  readonly load: Float64Array
}

/** Seconds kept per channel: nearly three days of traffic. Common practice. */
const MAX_LOAD_SECONDS = 250_000

/** Settings of {@link BusLoad}. */
export interface BusLoadOptions {
  /** Bits per second, where it is known. */
  readonly bitRate?: number
  readonly maxSeconds?: number
}

/** What is kept of one channel. */
interface Channel {
  bits: number
  observed: number
  lastTime: number
  /** Frames by data length, with 29-bit and with 11-bit identifier. */
  readonly extended: Float64Array
  readonly standard: Float64Array
  /** Bits by second with traffic, without those of the two seconds below. */
  readonly bitsBySecond: Map<number, number>
  /** The second the last frame fell in, and the one before that: times that jitter go back and forth between two. */
  current: Second
  other: Second
  /** When the tenth of a second began that the last frame fell in, its bits, and the most of any. */
  burstStart: number
  burstBits: number
  mostBurstBits: number
}

interface Second {
  readonly second: number
  bits: number
}

/** Adds up the bits of frames by channel and second. */
export class BusLoad {
  readonly #given: number | undefined
  readonly #maxSeconds: number
  readonly #channels: Channel[] = []

  /** @throws BusError `bit-rate` where the given one is no positive number */
  constructor(options: BusLoadOptions = {}) {
    const { bitRate, maxSeconds = MAX_LOAD_SECONDS } = options
    if (bitRate !== undefined && !(bitRate > 0 && Number.isFinite(bitRate))) {
      throw new BusError('bit-rate', `Not ${bitRate}.`)
    }
    this.#given = bitRate
    this.#maxSeconds = maxSeconds
  }

  /**
   * Adds a frame.
   *
   * @param bits what it takes on the wire, from `frameBits`
   * @param length its data bytes; 0 for a remote frame
   * @param extended whether its identifier has 29 bits
   */
  add(channel: number, time: number, bits: number, length: number, extended = true): void {
    const state = this.#channels[channel] ?? this.#open(channel, time)
    state.bits += bits
    if (extended) state.extended[length]++
    else state.standard[length]++

    const gap = time - state.lastTime
    if (gap > 0) state.observed += Math.min(gap, SECOND)
    state.lastTime = time

    if (time < state.burstStart || time >= state.burstStart + BURST) this.#moveTo(state, time)
    state.burstBits += bits
    state.current.bits += bits
  }

  /** Channels with frames, ascending. */
  channelNumbers(): number[] {
    return [...this.#channels.keys()].filter((channel) => this.#channels[channel] !== undefined)
  }

  /**
   * The bit rate to reckon with. A channel that carried more than 250 kbit/s can is taken for 500 kbit/s;
   * for any other 250 kbit/s is assumed, which a lightly loaded faster bus would not contradict.
   */
  plausibleBitRate(channel: number): BitRate {
    const [usual, fast] = BIT_RATES
    if (this.#given !== undefined) return { value: this.#given, basis: 'given' }
    const state = this.#channels[channel]
    if (state === undefined) return { value: usual, basis: 'assumed' }
    const [, secondBits] = busiest(this.#kept(state))
    const burstBits = Math.max(state.mostBurstBits, state.burstBits)
    const tooMuch = secondBits > usual || burstBits * BURSTS_PER_SECOND > usual * BURST_PROOF
    return tooMuch ? { value: fast, basis: 'inferred' } : { value: usual, basis: 'assumed' }
  }

  /** The load of a channel; undefined where it had no frame. */
  summary(channel: number, bitRate: BitRate = this.plausibleBitRate(channel)): ChannelLoad | undefined {
    const state = this.#channels[channel]
    if (state === undefined) return undefined
    const { bits } = state
    const observed = state.observed / SECOND
    const frames = sum(state.extended.values()) + sum(state.standard.values())
    // From the first frame to the last there is one interval less than there are frames.
    const share = (frames - 1) / frames / observed / bitRate.value
    const over = (total: number) => (state.observed < BURST ? null : total * share)
    const mean = over(bits)
    const kept = this.#kept(state)
    const [peak, peakBits] = busiest(kept)
    return {
      channel,
      bitRate,
      frames,
      bits,
      observed,
      mean,
      meanNominal: over(formulaBits(state, nominalBits)),
      meanWorstCase: over(formulaBits(state, worstCaseBits)),
      maximum: { load: Math.max(peakBits / bitRate.value, mean ?? 0), time: peak * SECOND },
      complete: sum(kept.values()) === bits,
    }
  }

  /** The load of a channel second by second; empty where it had no frame. */
  seconds(channel: number, bitRate: BitRate = this.plausibleBitRate(channel)): LoadSeries {
    const state = this.#channels[channel]
    const kept = state === undefined ? [] : [...this.#kept(state)].sort(([a], [b]) => a - b)
    return {
      time: Float64Array.from(kept, ([second]) => second * SECOND),
      load: Float64Array.from(kept, ([, bits]) => bits / bitRate.value),
    }
  }

  #open(channel: number, time: number): Channel {
    const second = Math.floor(time / SECOND)
    const state: Channel = {
      bits: 0,
      observed: 0,
      lastTime: time,
      extended: new Float64Array(9),
      standard: new Float64Array(9),
      bitsBySecond: new Map(),
      current: { second, bits: 0 },
      other: { second: second - 1, bits: 0 },
      burstStart: Math.floor(time / BURST) * BURST,
      burstBits: 0,
      mostBurstBits: 0,
    }
    this.#channels[channel] = state
    return state
  }

  /** Begins another tenth of a second, and another second if that is over. */
  #moveTo(state: Channel, time: number): void {
    state.mostBurstBits = Math.max(state.mostBurstBits, state.burstBits)
    state.burstStart = Math.floor(time / BURST) * BURST
    state.burstBits = 0
    const second = Math.floor(time / SECOND)
    if (second === state.current.second) return
    let next = state.other
    if (next.second !== second) {
      this.#keep(state.bitsBySecond, next)
      next = { second, bits: 0 }
    }
    state.other = state.current
    state.current = next
  }

  /**
   * Adds a finished second to others. Where the clock was set back a second comes twice; the fuller
   * counts, since their sum would be a load that never was.
   */
  #keep(bitsBySecond: Map<number, number>, { second, bits }: Second): void {
    const before = bitsBySecond.get(second)
    if (bits === 0 || (before === undefined && bitsBySecond.size >= this.#maxSeconds)) return
    bitsBySecond.set(second, Math.max(before ?? 0, bits))
  }

  /** Bits by second, the last two too. */
  #kept(state: Channel): Map<number, number> {
    const all = new Map(state.bitsBySecond)
    this.#keep(all, state.other)
    this.#keep(all, state.current)
    return all
  }
}

/** The second with the most bits, the first of equals, and those bits. */
function busiest(bitsBySecond: Map<number, number>): readonly [second: number, bits: number] {
  let most: readonly [number, number] = [0, 0]
  for (const entry of bitsBySecond) if (entry[1] > most[1]) most = entry
  return most
}

function formulaBits(state: Channel, bitsFor: typeof nominalBits): number {
  let total = 0
  for (let length = 0; length <= 8; length++) {
    total += state.extended[length] * bitsFor(length, 'extended') + state.standard[length] * bitsFor(length, 'standard')
  }
  return total
}

function sum(values: Iterable<number>): number {
  let total = 0
  for (const value of values) total += value
  return total
}
