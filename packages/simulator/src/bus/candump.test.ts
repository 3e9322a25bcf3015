import { describe, expect, it } from 'vitest'
import { busError, errorState, LineWriter } from './candump.js'

describe('LineWriter', () => {
  it('writes candump’s file form', () => {
    const writer = new LineWriter('can0')
    const payload = Uint8Array.of(0x50, 0x7d, 0x8d, 0xd1, 0x12, 0x00, 0xf4, 0x8e)
    writer.write(1626905042645596, 0x0cf00400, payload, 8)
    writer.write(1626905043000007, 0x18eaff21, payload, 3)
    writer.write(1626905043999999, 0x18feff00, payload, 0)
    // The first line is one of an open capture of a truck, on another interface.
    expect(writer.take()).toBe(
      '(1626905042.645596) can0 0CF00400#507D8DD11200F48E\n(1626905043.000007) can0 18EAFF21#507D8D\n(1626905043.999999) can0 18FEFF00#\n',
    )
    expect(writer.length).toBe(0)
    expect(writer.take()).toBe('')
  })

  it('grows as far as it must', () => {
    const writer = new LineWriter('slcan0')
    const payload = Uint8Array.of(1, 2, 3, 4, 5, 6, 7, 8)
    for (let i = 0; i < 5000; i++) writer.write(1e15 + i, 0x18feee00 + i, payload, 8)
    const lines = writer.take().split('\n')
    expect(lines).toHaveLength(5001)
    expect(lines[0]).toBe('(1000000000.000000) slcan0 18FEEE00#0102030405060708')
    expect(lines[4999]).toBe('(1000000000.004999) slcan0 18FF0187#0102030405060708')
  })
})

describe('error frames', () => {
  // Classes and bytes of the Linux kernel's uapi header can/error.h: CAN_ERR_FLAG 0x20000000,
  // CRTL 0x04 with RX_WARNING 0x04, RX_PASSIVE 0x10, ACTIVE 0x40 in byte 1; PROT 0x08 and BUSERROR 0x80
  // with STUFF 0x04 or FORM 0x02 in byte 2 and the place in byte 3; CNT 0x200 with the count in byte 7.
  it.each([
    ['warning', 0x04, 96],
    ['passive', 0x10, 135],
    ['active', 0x40, 90],
  ] as const)('%s', (state, bits, count) => {
    const { id, payload } = errorState(state, count)
    expect(id).toBe(0x20000204)
    expect([...payload]).toEqual([0, bits, 0, 0, 0, 0, 0, count])
  })

  it('bus error', () => {
    expect(busError(false)).toEqual({ id: 0x20000088, payload: Uint8Array.of(0, 0, 0x04, 0x0a, 0, 0, 0, 0) })
    expect(busError(true)).toEqual({ id: 0x20000088, payload: Uint8Array.of(0, 0, 0x02, 0x08, 0, 0, 0, 0) })
  })
})
