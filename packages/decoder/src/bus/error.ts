/** What a wrong call of the bus layer is called; see {@link BusError}. */
export const BUS_ERRORS = {
  'name-length': 'A NAME is 8 bytes; fewer are left at the given place.',
  'name-field': 'A field of a NAME is no integer within its width.',
  'frame-length': 'A classical frame carries 0 to 8 data bytes.',
  'bit-rate': 'A bit rate is a positive number of bits per second.',
} as const

export type BusErrorCode = keyof typeof BUS_ERRORS

/** A wrong call. What a recording holds never raises one: that becomes an event. */
export class BusError extends Error {
  readonly code: BusErrorCode

  constructor(code: BusErrorCode, detail: string) {
    super(`${BUS_ERRORS[code]} ${detail}`)
    this.name = 'BusError'
    this.code = code
  }
}
