import { describe, expect, it } from 'vitest'
import { FaultMemory, type Lamp } from '../controller/fault-memory.js'
import { activeFaults, diagnosticAnswers, PGN } from './diagnostics.js'

const hex = (payload: Uint8Array | undefined): string =>
  Array.from(payload ?? [], (byte) => byte.toString(16).padStart(2, '0').toUpperCase()).join(' ')

/** A memory in which these are active, with these counts. */
function memoryOf(faults: readonly (readonly [spn: number, fmi: number, count: number, lamp?: Lamp])[]): FaultMemory {
  const memory = new FaultMemory()
  for (const [spn, fmi, count, lamp = 'amber'] of faults) {
    const fault = memory.entry(spn, fmi, lamp, false)
    fault.count = count - 1
    memory.set(fault, true, 0, Uint8Array.of(1, 40, 0x40, 0x38, 90, 125, 0, 60))
  }
  return memory
}

describe('DM1 as open captures have it', () => {
  it('no fault', () => {
    expect(hex(activeFaults(new FaultMemory()))).toBe('00 FF 00 00 00 00 FF FF')
  })

  it('six faults of a brake controller, amber lamp', () => {
    const memory = memoryOf([
      [789, 2, 126],
      [790, 2, 126],
      [791, 2, 126],
      [792, 2, 126],
      [802, 4, 126],
      [792, 7, 1],
    ])
    expect(hex(activeFaults(memory))).toBe(
      '04 FF 15 03 02 7E 16 03 02 7E 17 03 02 7E 18 03 02 7E 22 03 04 7E 18 03 07 01',
    )
  })

  it.each([
    ['red', '10 FF'],
    ['protect', '01 FF'],
    ['amber', '04 FF'],
  ] as const)('%s lamp', (lamp, wanted) => {
    // Byte 1: bits 6–5 red stop, 4–3 amber, 2–1 protect (engine maker's published J1939 chapter).
    expect(hex(activeFaults(memoryOf([[102, 3, 1, lamp]])))).toBe(`${wanted} 66 00 03 01 FF FF`)
  })
})

describe('answers', () => {
  const answer = (memory: FaultMemory, pgn: number): string => hex(new Map(diagnosticAnswers(memory)).get(pgn)?.())

  it('DM2 lists what was and shows the lamps of what is', () => {
    const memory = memoryOf([
      [91, 2, 6],
      [100, 1, 1, 'red'],
    ])
    memory.set(memory.entry(91, 2, 'amber', false), false, 1)
    expect(answer(memory, PGN.dm2)).toBe('10 FF 5B 00 02 06 FF FF')
    expect(answer(memory, PGN.dm1)).toBe('10 FF 64 00 01 01 FF FF')
  })

  it('DM4 gives length, code and measurements', () => {
    expect(answer(memoryOf([[102, 3, 2]]), PGN.dm4)).toBe('0C 66 00 03 02 01 28 40 38 5A 7D 00 3C')
    expect(answer(new FaultMemory(), PGN.dm4)).toBe('00 FF FF FF FF FF FF FF')
  })

  it('DM5 counts', () => {
    const memory = memoryOf([
      [91, 2, 6],
      [102, 3, 1],
      [100, 1, 1, 'red'],
    ])
    memory.set(memory.entry(91, 2, 'amber', false), false, 1)
    expect(answer(memory, PGN.dm5)).toBe('02 01 05 06 80 03 00 00')
  })

  it('DM12 and DM6 keep to what concerns emissions', () => {
    const memory = memoryOf([[91, 2, 1]])
    const fault = memory.entry(132, 2, 'amber', true)
    memory.set(fault, true, 0)
    memory.entry(27, 7, 'amber', true).pending = true
    expect(answer(memory, PGN.dm12)).toBe('44 FF 84 00 02 01 FF FF')
    expect(answer(memory, PGN.dm6)).toBe('44 FF 1B 00 07 00 FF FF')
  })
})
