/** Diagnostic messages of SAE J1939-73 from a node's memory. Layouts as in the decoder, which names the sources. */
import { encodeDtc, encodeLamps, type Lamp as LampSignal } from '@firstcrank/decoder'
import type { FaultMemory, StoredFault } from '../controller/fault-memory.js'

/** Parameter groups the nodes use by number. */
export const PGN = {
  request: 59904,
  acknowledgement: 59392,
  addressClaimed: 60928,
  dm1: 65226,
  dm2: 65227,
  dm3: 65228,
  dm4: 65229,
  dm5: 65230,
  dm6: 65231,
  dm11: 65235,
  dm12: 65236,
  component: 65259,
  vehicle: 65260,
  software: 65242,
  controller: 64965,
} as const

const ON: LampSignal = { state: 'on', flash: 'none' }
const OFF: LampSignal = { state: 'off', flash: 'none' }

/** Lamps and trouble codes; where there are none, SPN 0 with FMI 0. At least eight bytes. */
export function faultList(listed: readonly StoredFault[], lit: readonly StoredFault[]): Uint8Array {
  const shown = (lamp: StoredFault['lamp']): LampSignal => (lit.some((fault) => fault.lamp === lamp) ? ON : OFF)
  const lamps = encodeLamps({
    malfunction: lit.some((fault) => fault.emissions) ? ON : OFF,
    redStop: shown('red'),
    amberWarning: shown('amber'),
    protect: shown('protect'),
  })
  const codes = listed.map(({ spn, fmi, count }) => encodeDtc({ spn, fmi, occurrenceCount: count }))
  const bytes = [...lamps, ...(codes.length > 0 ? codes.flatMap((code) => [...code]) : [0, 0, 0, 0])]
  while (bytes.length < 8) bytes.push(0xff)
  return Uint8Array.from(bytes)
}

/** DM1 */
export function activeFaults(memory: FaultMemory): Uint8Array {
  const active = memory.active()
  return faultList(active, active)
}

/** The answers every node of this truck gives about its faults: DM2, DM4, DM5, DM6, DM12. */
export function diagnosticAnswers(memory: FaultMemory): [number, () => Uint8Array][] {
  return [
    [PGN.dm1, () => activeFaults(memory)],
    [PGN.dm2, () => faultList(memory.previouslyActive(), memory.active())],
    [PGN.dm4, () => freezeFrames(memory)],
    [PGN.dm5, () => readiness(memory)],
    [
      PGN.dm6,
      () =>
        faultList(
          memory.faults.filter((fault) => fault.pending && fault.emissions),
          memory.active(),
        ),
    ],
    [
      PGN.dm12,
      () =>
        faultList(
          memory.active().filter((fault) => fault.emissions),
          memory.active(),
        ),
    ],
  ]
}

/** DM4: length, trouble code and measurements of each fault that has them; a length of 0 where none has. */
function freezeFrames(memory: FaultMemory): Uint8Array {
  const frames = memory.faults.flatMap(({ spn, fmi, count, freeze }) =>
    freeze ? [4 + freeze.length, ...encodeDtc({ spn, fmi, occurrenceCount: count }), ...freeze] : [],
  )
  return frames.length > 0 ? Uint8Array.from(frames) : Uint8Array.of(0, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff)
}

/** Not intended to meet on-board diagnosis rules: code 5. From memory. */
const NO_OBD = 5
/** Continuous monitors: fuel system and comprehensive component supported and complete. */
const CONTINUOUS = 0b0000_0110
/** Exhaust gas recirculation, cold start aid and boost pressure control supported. */
const OTHERS = [0b1000_0000, 0b0000_0011] as const

/** DM5: how many are active and were, and which tests there are; all are complete after the first minute. */
function readiness(memory: FaultMemory): Uint8Array {
  const counts = [memory.active().length, memory.previouslyActive().length]
  return Uint8Array.from([...counts, NO_OBD, CONTINUOUS, ...OTHERS, 0, 0])
}
