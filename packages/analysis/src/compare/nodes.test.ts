/** Which engine, which node and which vehicle of one run is which of the other. */
import { encodeName, type Recording } from '@firstcrank/decoder'
import { describe, expect, test } from 'vitest'
import { hexOf } from '../../../../tests/support/log.js'
import { dm1, type MadeFault, type OtherFrame } from '../../../../tests/support/made-faults.js'
import { type Instants, type MadeRun, openRun } from '../../../../tests/support/made-run.js'
import { analyse } from '../analyse.js'
import { compareRuns } from './compare.js'
import type { Run } from './comparison.js'
import { historyEntry, historyOf } from './history.js'

const asRun = (recording: Recording): Run => ({ recording, report: analyse(recording), title: 'made' })

const FAULT = { spn: 110, fmi: 3, from: 40 } as const

/** Two engines of one vehicle, each at address 0 of its own interface; they turn at different speeds. */
async function twins(
  port: { faults?: readonly MadeFault[]; signals?: MadeRun['signals'] },
  starboard: typeof port,
  channels: readonly [string, string] = ['can0', 'can1'],
): Promise<Run> {
  const made = ({ faults = [], signals = {} }: typeof port, channel: string, instants: Partial<Instants>): MadeRun => ({
    channel,
    instants,
    signals,
    others: dm1(faults).map((frame) => ({ ...frame, channel })),
  })
  return asRun(await openRun(made(port, channels[0], {}), made(starboard, channels[1], { drive: [40, 100] })))
}

describe('two engines with one address on two interfaces', () => {
  test('each fault belongs to its own', async () => {
    const { faults } = compareRuns(await twins({}, { faults: [FAULT] }), await twins({ faults: [FAULT] }, {}))
    expect(faults.map(({ channel, spn, change }) => [channel, spn, change])).toEqual([
      ['can1', 110, 'gone'],
      ['can0', 110, 'new'],
    ])
  })

  test('an interface with another name in the later run is no other engine', async () => {
    const before = await twins({ faults: [FAULT] }, {})
    const { faults } = compareRuns(before, await twins({ faults: [FAULT] }, {}, ['can7', 'can8']))
    expect(faults.map(({ spn, change }) => [spn, change])).toEqual([[110, 'still-there']])
  })

  test('each check is held against its own', async () => {
    const volts = (cranked: number) => ({ signals: { 168: (t: number) => (t < 12 ? 12.7 : t < 14 ? cranked : 14.2) } })
    const before = await twins(volts(10.4), volts(7))
    const { changes } = compareRuns(before, await twins(volts(10.4), volts(10.4)))
    const checks = changes.flatMap(({ check }) => (check?.id === 'crank-voltage' ? [check] : []))
    expect(checks).toEqual([{ id: 'crank-voltage', before: 'fail', after: 'pass' }])
  })
})

const text = (pgn: number, fields: string): OtherFrame[] => {
  const bytes = Uint8Array.from([...fields], (letter) => letter.charCodeAt(0))
  return [{ at: 1, pgn, sa: 0, data: hexOf(bytes) }]
}
const claim = (sa: number, identityNumber: number): OtherFrame => ({
  at: 0.4,
  pgn: 60928,
  sa,
  data: hexOf(
    encodeName({
      identityNumber,
      manufacturerCode: 0,
      ecuInstance: 0,
      functionInstance: 0,
      function: sa,
      reserved: 0,
      vehicleSystem: 0,
      vehicleSystemInstance: 0,
      industryGroup: 1,
      arbitraryAddressCapable: false,
    }),
  ),
})
const told = async (...others: OtherFrame[]): Promise<Run> => asRun(await openRun({ instants: { end: 10 }, others }))

describe('whether it is one vehicle', () => {
  test.each([
    ['a serial number', 'A*B*7*', 'same'],
    ['make and model alone', 'A*B***', 'unknown'],
  ])('%s of a component: %s', async (_, fields, same) => {
    const [before, after] = [await told(...text(65259, fields)), await told(...text(65259, fields))]
    expect(compareRuns(before, after).vehicle.same).toBe(same)
  })

  test.each([
    [5, 'same'],
    [0, 'unknown'],
  ])('NAMEs with identity number %i: %s', async (identity, same) => {
    const run = () => told(claim(0, identity), claim(3, identity))
    expect(compareRuns(await run(), await run()).vehicle.same).toBe(same)
  })

  test('one node replaced, while the others stay and have no identity number, are not two vehicles', async () => {
    const run = (engine: number) => told(claim(0, engine), claim(3, 0), claim(11, 0))
    expect(compareRuns(await run(5), await run(6)).vehicle.same).toBe('unknown')
    const { same } = compareRuns(await told(claim(0, 5)), await told(claim(0, 6))).vehicle
    expect(same).toBe('different')
  })

  test('in a history, one run telling a vehicle and another a NAME are not two vehicles', async () => {
    const [one, two, three] = [
      await told(...text(65260, 'AB12*')),
      await told(claim(0, 5)),
      await told(...text(65260, 'CD34*')),
    ].map(historyEntry)
    expect(historyOf([one, two]).sameVehicle).toBe('unknown')
    expect(historyOf([one, one]).sameVehicle).toBe('same')
    expect(historyOf([two, two]).sameVehicle).toBe('same')
    expect(historyOf([one, three]).sameVehicle).toBe('different')
  })
})

test('a check that was bad before and could not be made after leaves it open', async () => {
  const noPressure = { 100: (t: number) => (t < 60 ? 0 : 20) }
  const lowOil = { others: dm1([{ spn: 100, fmi: 1, from: 20 }]) }
  const before = asRun(await openRun({ signals: noPressure, ...lowOil }))
  const short = asRun(await openRun({ instants: { keyOff: 23, end: 27 }, others: dm1([], { end: 27 }) }))
  const verdicts = ({ report }: Run): (string | undefined)[] =>
    ['oil-pressure-rise', 'oil-pressure-kept'].map(
      (id) => report.engines[0]?.checks.find((one) => one.id === id)?.verdict,
    )
  expect([verdicts(before), verdicts(short)]).toEqual([
    ['fail', 'fail'],
    ['pass', 'not-judged'],
  ])
  const [fault] = compareRuns(before, short).faults
  expect(fault?.grade).not.toBe('proved')
  expect(JSON.stringify(fault)).not.toContain('in order again')
})
