/**
 * The four lamps in the first two bytes of a fault list: two bits of state and two of flashing each.
 *
 * State codes: 00 off, 01 on, 10 reserved (one source: error), 11 not available. Sources: an engine
 * maker's published J1939 chapter, a truck maker's bodywork CAN manual.
 * Flash codes: 00 slow (1 Hz), 01 fast (2 Hz), 10 reserved, 11 do not flash. The states are in a
 * public training page, the code numbers from memory. They mean something only while the lamp is on:
 * nodes that do not support flashing send FF (open CAN capture) or 00 (keypad J1939 manual).
 */
import type { SourceId } from '../catalog/sources.js'

export type LampState = 'off' | 'on' | 'reserved' | 'not-available'
/** `none` for a lamp that is steady, and for one that is not on. */
export type LampFlash = 'slow' | 'fast' | 'reserved' | 'none'

const STATES: readonly LampState[] = ['off', 'on', 'reserved', 'not-available']
const FLASHES: readonly LampFlash[] = ['slow', 'fast', 'reserved', 'none']

export type LampKey = 'malfunction' | 'redStop' | 'amberWarning' | 'protect'

/** What a lamp is called, where its bits are and what it tells the driver. */
export interface LampDefinition {
  readonly key: LampKey
  readonly name: string
  readonly meaning: string
  /** SPN of the state. */
  readonly spn: number
  /** SPN of the flashing. */
  readonly flashSpn: number
  /** Lowest of its two bits in either byte, from 0. */
  readonly shift: number
  readonly sources: readonly SourceId[]
}

/**
 * The lamps in the order of their bits, highest first. Meanings: public training page. The order of
 * the flash bits: university course parameter table (order of SPNs) and memory.
 */
export const LAMPS: readonly LampDefinition[] = [
  {
    key: 'malfunction',
    name: 'malfunction indicator lamp',
    meaning: 'an emissions-related fault is active',
    spn: 1213,
    flashSpn: 3038,
    shift: 6,
    sources: ['engine', 'truck', 'genset', 'training'],
  },
  {
    key: 'redStop',
    name: 'red stop lamp',
    meaning: 'severe enough to stop now',
    spn: 623,
    flashSpn: 3039,
    shift: 4,
    sources: ['engine', 'truck', 'genset', 'training'],
  },
  {
    key: 'amberWarning',
    name: 'amber warning lamp',
    meaning: 'a problem that does not call for stopping at once',
    spn: 624,
    flashSpn: 3040,
    shift: 2,
    sources: ['engine', 'truck', 'genset', 'training'],
  },
  {
    key: 'protect',
    name: 'protect lamp',
    meaning: 'a subsystem that is most likely not electronic, such as coolant too hot',
    spn: 987,
    flashSpn: 3041,
    shift: 0,
    sources: ['engine', 'truck', 'genset', 'training'],
  },
]

/** One lamp as a node reports it. */
export interface Lamp {
  readonly state: LampState
  readonly flash: LampFlash
}

/** The four lamps as a node reports them. */
export type LampStatus = Readonly<Record<LampKey, Lamp>>

/** Reads the lamp status byte and the flash byte. */
export function decodeLamps(status: number, flash: number): LampStatus {
  const lamp = (shift: number): Lamp => {
    const state = STATES[(status >>> shift) & 3]
    return { state, flash: state === 'on' ? FLASHES[(flash >>> shift) & 3] : 'none' }
  }
  const [malfunction, redStop, amberWarning, protect] = LAMPS.map(({ shift }) => lamp(shift))
  return { malfunction, redStop, amberWarning, protect }
}

/** The lamp status byte and the flash byte, the inverse of {@link decodeLamps}. */
export function encodeLamps(lamps: LampStatus): [status: number, flash: number] {
  let status = 0
  let flash = 0
  for (const { key, shift } of LAMPS) {
    const lamp = lamps[key]
    status |= STATES.indexOf(lamp.state) << shift
    flash |= FLASHES.indexOf(lamp.state === 'on' ? lamp.flash : 'none') << shift
  }
  return [status, flash]
}

/** Whether two reports say the same of every lamp. */
export function sameLamps(one: LampStatus, other: LampStatus): boolean {
  return LAMPS.every(({ key }) => one[key].state === other[key].state && one[key].flash === other[key].flash)
}
