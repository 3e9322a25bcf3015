/** Log text for tests: frames and multi-packet messages in the file form of a line. */
import { formatIdentifier } from '@firstcrank/decoder'

/** A frame to be printed. */
export interface LogFrame {
  /** Microseconds. */
  readonly time: number
  readonly channel?: string
  readonly pgn: number
  readonly sa?: number
  readonly da?: number
  readonly priority?: number
  /** Hexadecimal digits, blanks allowed. */
  readonly data: string
}

const encoder = new TextEncoder()

/** The bytes of a text. */
export function utf8(text: string): Uint8Array {
  return encoder.encode(text)
}

/** `(seconds.micros)` of a time in microseconds. */
export function printTime(micros: number): string {
  const digits = String(micros).padStart(7, '0')
  return `(${digits.slice(0, -6)}.${digits.slice(-6)})`
}

/** One line without its newline. */
export function printFrame({ time, channel = 'can0', pgn, sa = 0, da, priority = 6, data }: LogFrame): string {
  const id = formatIdentifier({ priority, pgn, sa, ...(da === undefined ? {} : { da }) })
  const hex = id.toString(16).toUpperCase().padStart(8, '0')
  return `${printTime(time)} ${channel} ${hex}#${data.replaceAll(' ', '').toUpperCase()}`
}

/** A log of frames, one line each. */
export function printLog(frames: readonly LogFrame[]): string {
  return frames.map((frame) => `${printFrame(frame)}\n`).join('')
}

/** A number as bytes in hexadecimal, the lowest first. */
export function lowFirst(value: number, bytes: number): string {
  let hex = ''
  for (let i = 0; i < bytes; i++) hex += (Math.floor(value / 256 ** i) % 256).toString(16).padStart(2, '0')
  return hex.toUpperCase()
}

/** A message of more than one frame, as it is to be sent. */
export interface LongFrames extends LogFrame {
  /** Microseconds from frame to frame. Default 50,000. */
  readonly spacing?: number
}

/** Frames of a broadcast message (BAM, SAE J1939-21). */
export function bamFrames({ spacing = 50_000, ...message }: LongFrames): LogFrame[] {
  const { time, pgn, da = 255 } = message
  const data = message.data.replaceAll(' ', '')
  const packets = data.match(/.{1,14}/g) ?? []
  const announcement = `20${lowFirst(data.length / 2, 2)}${lowFirst(packets.length, 1)}FF${lowFirst(pgn, 3)}`
  const frame = { ...message, da, priority: message.priority ?? 7 }
  return [
    { ...frame, pgn: 60416, data: announcement },
    ...packets.map((packet, index) => ({
      ...frame,
      pgn: 60160,
      time: time + spacing * (index + 1),
      data: lowFirst(index + 1, 1) + packet.padEnd(14, 'F'),
    })),
  ]
}

/** Hexadecimal digits of bytes, upper case. */
export function hexOf(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0').toUpperCase()).join('')
}

/** A source in chunks of the given sizes, taken in turn; the memory of each is used again for the next. */
export function* inChunks(bytes: Uint8Array, sizes: readonly number[]): Generator<Uint8Array> {
  const memory = new Uint8Array(Math.max(1, ...sizes))
  for (let at = 0, turn = 0; at < bytes.length; turn++) {
    const size = Math.min(Math.max(1, sizes[turn % sizes.length]), bytes.length - at)
    memory.set(bytes.subarray(at, at + size))
    yield memory.subarray(0, size)
    at += size
  }
}
