/**
 * Freeze frames: what a node measured when a fault appeared. DM4 holds a few parameters fixed by the
 * standard and then whatever its maker adds; DM25 holds the parameters the node listed in its DM24.
 *
 * Each frame is a length byte, a trouble code and data. Layouts are from memory, and memory is not
 * sure whether the length counts itself: the reading that fits the payload is taken, the one that
 * leaves it out where both fit. A length of 0 says there is no freeze frame.
 */
import { rawReader } from '../signal/raw.js'
import { DTC_BYTES, decodeDtc, type OldConversion, type TroubleCode } from './dtc.js'
import type { SupportedSpn } from './monitors.js'
import { type DiagnosticProblem, fillerStart } from './problem.js'
import { type DiagnosticValues, readValues, recalledValue, type ValueDefinitions } from './values.js'

/** Values of a DM4 frame. */
export type FreezeFrameValueName =
  | 'boostPressure'
  | 'engineSpeed'
  | 'engineLoad'
  | 'coolantTemperature'
  | 'vehicleSpeed'

/**
 * Parameters every DM4 frame begins with, positions counted from the byte after the trouble code;
 * scales are those of the same SPNs elsewhere. From memory. Byte 1, the engine torque mode, is apart.
 */
const FREEZE_FRAME_VALUES: ValueDefinitions<FreezeFrameValueName> = {
  boostPressure: recalledValue(102, 'Engine intake manifold 1 pressure', 2, 1, 'kPa', 2),
  engineSpeed: recalledValue(190, 'Engine speed', 3, 2, 'rpm', 0.125),
  engineLoad: recalledValue(92, 'Engine percent load at current speed', 5, 1, '%'),
  coolantTemperature: recalledValue(110, 'Engine coolant temperature', 6, 1, '°C', 1, -40),
  vehicleSpeed: recalledValue(84, 'Wheel-based vehicle speed', 7, 2, 'km/h', 1 / 256),
}

const FIXED_BYTES = 8

/** One freeze frame of DM4. */
export interface FreezeFrame {
  readonly dtc: TroubleCode
  /**
   * The byte as sent; null where not available or not sent. How the four-bit torque mode (SPN 899)
   * sits in it is not certain, so it is not read further.
   */
  readonly torqueMode: number | null
  readonly values: DiagnosticValues<FreezeFrameValueName>
  /** What follows the fixed parameters; only its maker knows what it means. */
  readonly rest: Uint8Array
}

/** DM4. */
export interface FreezeFrames {
  readonly kind: 'freeze-frames'
  readonly dm: number
  readonly frames: readonly FreezeFrame[]
  readonly problems: readonly DiagnosticProblem[]
}

/** Reads a DM4. */
export function decodeFreezeFrames(payload: Uint8Array, conversion?: OldConversion): FreezeFrames {
  const { blocks, problems } = splitFrames(payload)
  const frames = blocks.map(({ code, data }) => ({
    dtc: decodeDtc(code, 0, conversion),
    torqueMode: data.length === 0 || data[0] === 0xff ? null : data[0],
    values: readValues(data, FREEZE_FRAME_VALUES),
    rest: data.slice(FIXED_BYTES),
  }))
  return { kind: 'freeze-frames', dm: 4, frames, problems }
}

/** A parameter in an expanded freeze frame. */
export interface FreezeFrameParameter {
  readonly spn: number
  /** As sent, least significant byte first. */
  readonly bytes: Uint8Array
  /** The same as a number; null above six bytes, where it is text or too long for one. */
  readonly raw: number | null
}

/** One freeze frame of DM25. */
export interface ExpandedFreezeFrame {
  readonly dtc: TroubleCode
  /** All bytes after the trouble code. */
  readonly data: Uint8Array
  /** The parameters in it; null unless the node's DM24 is known and adds up to the same length. */
  readonly parameters: readonly FreezeFrameParameter[] | null
}

/** DM25. */
export interface ExpandedFreezeFrames {
  readonly kind: 'expanded-freeze-frames'
  readonly dm: number
  readonly frames: readonly ExpandedFreezeFrame[]
  readonly problems: readonly DiagnosticProblem[]
}

/**
 * Reads a DM25.
 *
 * @param supported what the same node listed in DM24, in its order
 */
export function decodeExpandedFreezeFrames(
  payload: Uint8Array,
  conversion?: OldConversion,
  supported?: readonly SupportedSpn[],
): ExpandedFreezeFrames {
  const { blocks, problems } = splitFrames(payload)
  const listed = supported?.filter((entry) => entry.inFreezeFrame)
  const bytes = listed?.reduce((sum, entry) => sum + entry.bytes, 0)
  const frames = blocks.map(({ at, code, data }) => {
    const fits = bytes === data.length
    if (listed && !fits) problems.push({ code: 'freeze-frame-parameters', at })
    const parameters = listed && fits ? takeParameters(data, listed) : null
    return { dtc: decodeDtc(code, 0, conversion), data: data.slice(), parameters }
  })
  return { kind: 'expanded-freeze-frames', dm: 25, frames, problems }
}

/** Most bytes of a number that stays exact. */
const EXACT_BYTES = 6

function takeParameters(data: Uint8Array, listed: readonly SupportedSpn[]): FreezeFrameParameter[] {
  let at = 0
  return listed.map(({ spn, bytes }) => {
    const start = at
    at += bytes
    const raw = bytes > 0 && bytes <= EXACT_BYTES ? rawReader(0, bytes * 8)(data, start) : null
    return { spn, bytes: data.slice(start, at), raw }
  })
}

/** The bytes of one freeze frame. */
interface FrameBlock {
  /** Where its length byte is. */
  readonly at: number
  readonly code: Uint8Array
  readonly data: Uint8Array
}

interface FrameBlocks {
  readonly blocks: FrameBlock[]
  readonly problems: DiagnosticProblem[]
}

function splitFrames(payload: Uint8Array): FrameBlocks {
  const exclusive = splitBy(payload, 1)
  if (exclusive.problems.length === 0) return exclusive
  const inclusive = splitBy(payload, 0)
  return inclusive.problems.length === 0 ? inclusive : exclusive
}

/** @param uncounted bytes of a frame its length leaves out: 1 where the length byte is not counted */
function splitBy(payload: Uint8Array, uncounted: 0 | 1): FrameBlocks {
  const blocks: FrameBlock[] = []
  const filler = fillerStart(payload)
  let at = 0
  while (at < filler) {
    const length = payload[at]
    if (length === 0) return { blocks, problems: [] }
    const end = at + length + uncounted
    const data = at + 1 + DTC_BYTES
    if (end > payload.length || end < data) return { blocks, problems: [{ code: 'freeze-frame-length', at }] }
    blocks.push({ at, code: payload.subarray(at + 1, data), data: payload.subarray(data, end) })
    at = end
  }
  return { blocks, problems: [] }
}
