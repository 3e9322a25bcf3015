/** Lines as candump's file form writes them: bytes into a buffer, without a string on the way. */

const NEWLINE = 10
const SPACE = 32
const HASH = 35
const OPEN = 40
const CLOSE = 41
const POINT = 46
const ZERO = 48
const HEX: Uint8Array = Uint8Array.from('0123456789ABCDEF', (digit) => digit.charCodeAt(0))
/** Longest line: 10 digits of seconds, 6 of the rest, 15 letters of interface, 8 of identifier, 16 of data, marks. */
const LONGEST = 80

/** A buffer that lines are written to, one after the other. */
export class LineWriter {
  #bytes: Uint8Array = new Uint8Array(65_536 + 8192)
  #length = 0
  readonly #interface: Uint8Array
  #second = -1
  readonly #secondDigits: Uint8Array = new Uint8Array(10)

  /** @param name of the interface, ASCII */
  constructor(name: string) {
    this.#interface = Uint8Array.from(name, (letter) => letter.charCodeAt(0))
  }

  /** Bytes waiting. */
  get length(): number {
    return this.#length
  }

  /** `(1436509052.249713) can0 18FEEE00#FFFF…` and a newline. @param time µs since the epoch */
  write(time: number, id: number, payload: Uint8Array, payloadLength: number): void {
    if (this.#length + LONGEST > this.#bytes.length) this.#grow()
    const bytes = this.#bytes
    let at = this.#length
    bytes[at++] = OPEN
    at = this.#writeTime(at, time)
    bytes[at++] = CLOSE
    bytes[at++] = SPACE
    for (const letter of this.#interface) bytes[at++] = letter
    bytes[at++] = SPACE
    for (let shift = 28; shift >= 0; shift -= 4) bytes[at++] = HEX[(id >>> shift) & 15] as number
    bytes[at++] = HASH
    for (let i = 0; i < payloadLength; i++) {
      const byte = payload[i] as number
      bytes[at++] = HEX[byte >> 4] as number
      bytes[at++] = HEX[byte & 15] as number
    }
    bytes[at++] = NEWLINE
    this.#length = at
  }

  /** The waiting bytes as text; the buffer is empty afterwards. */
  take(): string {
    let text = ''
    for (let at = 0; at < this.#length; at += 8192) {
      const part = this.#bytes.subarray(at, Math.min(this.#length, at + 8192))
      // `apply` takes a typed array as it is; spreading one goes byte by byte.
      text += String.fromCharCode.apply(null, part as unknown as number[])
    }
    this.#length = 0
    return text
  }

  #writeTime(start: number, time: number): number {
    const bytes = this.#bytes
    const second = Math.floor(time / 1e6)
    if (second !== this.#second) {
      this.#second = second
      for (let i = 9, rest = second; i >= 0; i--, rest = Math.floor(rest / 10))
        this.#secondDigits[i] = ZERO + (rest % 10)
    }
    bytes.set(this.#secondDigits, start)
    bytes[start + 10] = POINT
    let rest = time - second * 1e6
    for (let i = start + 16; i > start + 10; i--) {
      const tenth = Math.floor(rest / 10)
      bytes[i] = ZERO + rest - 10 * tenth
      rest = tenth
    }
    return start + 17
  }

  #grow(): void {
    const larger = new Uint8Array(this.#bytes.length * 2)
    larger.set(this.#bytes)
    this.#bytes = larger
  }
}

/**
 * Error frames as candump's file form writes them: the error classes as an identifier with bit 29
 * set, and eight bytes. Source: the Linux kernel's uapi header can/error.h.
 */
const ERROR_FLAG = 0x20000000
const CONTROLLER = 0x04
const PROTOCOL = 0x08
const BUS_ERROR = 0x80
const COUNTERS = 0x200
const RX_WARNING = 0x04
const RX_PASSIVE = 0x10
const ERROR_ACTIVE = 0x40
const STUFF_ERROR = 0x04
const FORM_ERROR = 0x02
const LOCATION_DATA = 0x0a
const LOCATION_CRC = 0x08

/** An error frame: its identifier as candump prints it, and its bytes. */
export interface ErrorFrame {
  readonly id: number
  readonly payload: Uint8Array
}

export type ErrorState = 'warning' | 'passive' | 'active'

/** The recorder's own controller changed its error state. */
export function errorState(state: ErrorState, received: number): ErrorFrame {
  const bits = { warning: RX_WARNING, passive: RX_PASSIVE, active: ERROR_ACTIVE }[state]
  return {
    id: ERROR_FLAG + COUNTERS + CONTROLLER,
    payload: Uint8Array.of(0, bits, 0, 0, 0, 0, 0, Math.min(255, received)),
  }
}

/** A frame that was broken on the wire. */
export function busError(inCrc: boolean): ErrorFrame {
  const [kind, place] = inCrc ? [FORM_ERROR, LOCATION_CRC] : [STUFF_ERROR, LOCATION_DATA]
  return { id: ERROR_FLAG + BUS_ERROR + PROTOCOL, payload: Uint8Array.of(0, 0, kind, place, 0, 0, 0, 0) }
}
