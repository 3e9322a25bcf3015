import { describe, expect, test } from 'vitest'
import { analysed, dm1, every, type MadeFault, secondsOf } from '../../../../../tests/support/made-faults.js'

const GROUP = 64925

/** What is found beside the faults of a sensor supply whose voltages are sent twice a second. */
async function foundBeside(fault: MadeFault, values: (t: number) => Readonly<Record<number, number>>) {
  const supplies = every(GROUP, 0.5, [1, 120], (t) => ({ 3509: 5, 3510: 5, ...values(t) }))
  const { groups } = await analysed({ others: [...dm1([fault]), ...supplies] })
  const found = groups[0]?.faults[0]
  if (found === undefined) throw new Error('no fault was read')
  return found
}

describe('the voltage of a sensor supply', () => {
  const during = (t: number, volts: number): number => (t >= 40 && t < 50 ? volts : 5)

  test.each([
    ['shorted to ground', 3509, 4, 3509, 0.3, 'Sensor supply 1 reads 0.3 V instead of 5 V.'],
    ['touching battery voltage', 3510, 3, 3510, 5.6, 'Sensor supply 2 reads 5.6 V instead of 5 V.'],
    ['known by another number', 1079, 4, 3510, 1.2, 'Sensor supply 2 reads 1.2 V instead of 5 V.'],
  ])('speaks for its own fault: %s', async (_, spn, fmi, sent, volts, words) => {
    const { supports } = await foundBeside({ spn, fmi, from: 41, to: 52 }, (t) => ({ [sent]: during(t, volts) }))
    const fact = supports.find(({ pattern }) => pattern === 'supply-voltage-wrong')
    expect(fact?.text).toBe(words)
    expect(secondsOf(fact?.from ?? 0)).toBeCloseTo(40, 0)
    expect(fact?.signals).toMatchObject([{ spn: sent, pgn: GROUP, sa: 0 }])
  })

  test.each([
    ['too low where the fault says too high', 3509, 3, 3509, 0.3],
    ['wrong on another supply', 3509, 4, 3510, 0.3],
  ])('does not, %s', async (_, spn, fmi, sent, volts) => {
    const { supports } = await foundBeside({ spn, fmi, from: 41, to: 52 }, (t) => ({ [sent]: during(t, volts) }))
    expect(supports.map(({ pattern }) => pattern)).not.toContain('supply-voltage-wrong')
  })

  test('does not at another time', async () => {
    const late = (t: number): number => (t >= 80 && t < 90 ? 0.3 : 5)
    const { supports } = await foundBeside({ spn: 3509, fmi: 4, from: 41, to: 52 }, (t) => ({ 3509: late(t) }))
    expect(supports).toEqual([])
  })
})
