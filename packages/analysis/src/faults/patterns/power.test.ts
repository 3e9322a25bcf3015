import { describe, expect, test } from 'vitest'
import { analysed, dm1, livingNode } from '../../../../../tests/support/made-faults.js'
import type { MadeRun, ValueAt } from '../../../../../tests/support/made-run.js'
import { crankLimit, crankSpeedLow, crankVoltageLow } from './cranking.js'
import { heaterDrawsNothing, heaterOnBeforeLamp, heaterStaysOn, loadedAfterStop } from './heater.js'
import { keyFeedLost, notCharging, overCharging, restVoltage, restVoltageLow, stopsAndGoesOn } from './power.js'

const contextOf = async (run: MadeRun) => (await analysed(run)).context

/** Battery voltage: before anything, with the lamp on, cranking, running, stopped. */
const supply =
  (rest: number, heated: number, cranked: number, charged: number): ValueAt =>
  (t) => {
    if (t >= 12 && t < 14) return cranked
    if (t >= 14 && t < 120) return charged
    return t >= 2 && t < 8 ? heated : rest
  }

describe('the supply at rest', () => {
  test.each([
    [12.7, false],
    [12.1, true],
    [11.6, true],
  ])('of %d V is low: %s', async (rest, low) => {
    const context = await contextOf({ signals: { 168: supply(rest, rest - 0.9, 10, 14.2) } })
    expect(restVoltage(context)).toMatchObject({ value: rest, when: 'Before the heater and the starter' })
    expect(restVoltageLow(context)?.seen).toBe(low)
  })

  test('under a heater that never ends is not known', async () => {
    const context = await contextOf({ signals: { 168: supply(11.7, 11.7, 9.3, 13.4) } })
    expect(restVoltage(context)).toBeNull()
  })
})

describe('cranking', () => {
  test('far below the limit of this temperature', async () => {
    const context = await contextOf({ celsius: 10, signals: { 168: supply(12.6, 11.7, 7.8, 14.2) } })
    expect(crankLimit(context).value).toBeCloseTo(9.4, 2)
    expect(crankVoltageLow(context)).toMatchObject({ seen: true })
    expect(crankVoltageLow(context)?.text).toContain('fell to 7.8 V as sampled; 9.4 V or more is usual at 10 °C')
  })

  test('the starter’s inrush does not count', async () => {
    const inrush: ValueAt = (t) => (t >= 12 && t < 12.3 ? 7.5 : supply(12.6, 11.7, 10, 14.2)(t))
    const context = await contextOf({ celsius: 10, signals: { 168: inrush } })
    expect(crankVoltageLow(context)?.seen).toBe(false)
  })

  test('a little low says nothing', async () => {
    const context = await contextOf({ celsius: 10, signals: { 168: supply(12.6, 11.7, 9.1, 14.2) } })
    expect(crankVoltageLow(context)).toBeNull()
  })

  test('speed is not judged in the deep cold', async () => {
    const slow: ValueAt = (t) => (t < 12 || t >= 120.6 ? 0 : t < 14 ? 95 : 750)
    expect(crankSpeedLow(await contextOf({ celsius: 10, signals: { 190: slow } }))).toMatchObject({ seen: true })
    expect(crankSpeedLow(await contextOf({ celsius: -25, signals: { 190: slow } }))).toBeNull()
  })
})

describe('the heater', () => {
  test('that draws nothing leaves the supply where it was', async () => {
    const context = await contextOf({ signals: { 168: supply(12.6, 12.55, 9.5, 14.2) } })
    expect(heaterDrawsNothing(context)).toMatchObject({ seen: true })
    expect(heaterStaysOn(context)?.seen).toBe(false)
  })

  test('that works makes two steps', async () => {
    const context = await contextOf({})
    expect(heaterDrawsNothing(context)?.seen).toBe(false)
    expect(heaterStaysOn(context)?.seen).toBe(false)
    expect(heaterOnBeforeLamp(context)?.seen).toBe(false)
    expect(loadedAfterStop(context)?.seen).toBe(false)
  })

  test('that never ends holds the supply down, before the lamp and after it', async () => {
    const context = await contextOf({ signals: { 168: (t) => (t >= 120 ? 12.0 : supply(11.75, 11.8, 9.4, 13.4)(t)) } })
    expect(heaterStaysOn(context)).toMatchObject({ seen: true })
    expect(heaterOnBeforeLamp(context)?.seen).toBe(true)
    expect(loadedAfterStop(context)?.seen).toBe(true)
  })

  test('that welds while the lamp burns: the step is there, the recovery is not', async () => {
    const context = await contextOf({ signals: { 168: (t) => (t < 2 ? 12.6 : supply(11.8, 11.7, 9.4, 13.4)(t)) } })
    expect(heaterStaysOn(context)).toMatchObject({ seen: true })
    expect(heaterOnBeforeLamp(context)?.seen).toBe(false)
  })

  test('without preheating nothing is said', async () => {
    const context = await contextOf({ instants: { lamp: [200, 200] } })
    expect(heaterDrawsNothing(context)).toBeNull()
    expect(heaterStaysOn(context)).toBeNull()
  })
})

describe('charging', () => {
  test.each([
    [12.3, true, false],
    [14.2, false, false],
    [15.6, false, true],
  ])('of %d V: not %s, too much %s', async (volts, not, tooMuch) => {
    const context = await contextOf({ signals: { 168: supply(12.6, 11.7, 10, volts) } })
    expect(notCharging(context)?.seen).toBe(not)
    expect(overCharging(context)?.seen).toBe(tooMuch)
  })

  test('a heater that cycles is no dead alternator', async () => {
    const cycling: ValueAt = (t) => (t > 20 && t < 120 && t % 12 < 6 ? 12.5 : supply(12.6, 11.7, 10, 14.2)(t))
    expect(notCharging(await contextOf({ signals: { 168: cycling } }))?.seen).toBe(false)
  })
})

describe('the key feed', () => {
  const lost: ValueAt = (t) => (t > 60.5 && t < 63.5 ? 0 : t < 120 ? 12.6 : 0)

  test('is lost while the engine still runs', async () => {
    const context = await contextOf({ signals: { 158: lost }, others: dm1([{ spn: 158, fmi: 2, from: 64 }]) })
    expect(keyFeedLost(context)).toMatchObject({ seen: true })
    expect(keyFeedLost(context)?.text).toContain('reads 0.0 V while the battery has 14.2 V')
  })

  test('a key that is turned off is no loss', async () => {
    const context = await contextOf({ others: livingNode(33, [[120, 200]]) })
    expect(keyFeedLost(context)?.seen).toBe(false)
  })

  test('the controller says "stopping" for a moment and runs on', async () => {
    const flickers: ValueAt = (t) => (t > 60 && t < 60.4 ? 6 : t >= 120 ? 7 : t >= 14 ? 4 : t >= 12 ? 2 : 0)
    expect(stopsAndGoesOn(await contextOf({ signals: { 3543: flickers } }))).toMatchObject({ seen: true })
    expect(stopsAndGoesOn(await contextOf({}))?.seen).toBe(false)
  })
})
