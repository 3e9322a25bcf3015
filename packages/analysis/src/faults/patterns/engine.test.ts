import { describe, expect, test } from 'vitest'
import { analysed, every } from '../../../../../tests/support/made-faults.js'
import type { MadeRun, ValueAt } from '../../../../../tests/support/made-run.js'
import { NO_PROFILE } from '../../profile.js'
import { airLostWithBoost, airRatioConstant, airRatioFalls, airZero } from './air.js'
import { boostAtRest, boostWeakUnderLoad } from './boost.js'
import { coolantAndIntakeSwapped, coolantNeverWarm, oilTemperatureAgrees } from './cooling.js'
import { deliveryHunts, deliveryStarved, hardStart, railLow, waterReported } from './fuel.js'
import { halfOrderSwing } from './idle.js'
import {
  oilPressureAbsent,
  oilPressureLate,
  oilPressureQuickLater,
  oilPressureTwoValues,
  oilSenderAlive,
} from './oil.js'
import { oilSteadyInDrops, speedDrops } from './speed.js'
import { egrDoesNotFollow } from './valve.js'

const contextOf = async (run: MadeRun, profile?: typeof NO_PROFILE) =>
  (await analysed(run, profile ? { profile } : {})).context
const DRIVING: MadeRun = { instants: { drive: [40, 110] } }
/** kg/h by speed density, as the made run has it at 20 °C: a quarter more is lost behind the compressor. */
const air = (rpm: number, kPa: number): number => 3600 * 0.9 * 0.003 * (rpm / 120) * ((kPa * 1000) / (287 * 293.15))
const flow =
  (idle: number, boosted: number): ValueAt =>
  (t) =>
    t < 15 || t >= 120 ? 0 : t >= 40 && t < 110 ? boosted * air(2000, 188) : idle * air(750, 98)

describe('measured air', () => {
  test('as expected', async () => {
    const context = await contextOf({ ...DRIVING, signals: { 132: flow(1, 1) } })
    expect(airRatioConstant(context)?.seen).toBe(false)
    expect(airLostWithBoost(context)?.seen).toBe(false)
    expect(airRatioFalls(context)?.seen).toBe(false)
    expect(airZero(context)?.seen).toBe(false)
  })

  test('off by the square of 70/76 at every flow: a wider tube', async () => {
    const context = await contextOf({ ...DRIVING, signals: { 132: flow(0.85, 0.85) } })
    expect(airRatioConstant(context)).toMatchObject({ seen: true })
    expect(airRatioConstant(context)?.text).toContain('0.85 of what speed and density give at small flows and 0.85')
    expect(airLostWithBoost(context)?.seen).toBe(false)
  })

  test('without a displacement the level says nothing, the shape does', async () => {
    const wide = await contextOf({ ...DRIVING, signals: { 132: flow(0.85, 0.85) } }, NO_PROFILE)
    expect(airRatioConstant(wide)).toBeNull()
    const leak = await contextOf({ ...DRIVING, signals: { 132: flow(1.02, 1.3) } }, NO_PROFILE)
    expect(airLostWithBoost(leak)?.seen).toBe(true)
  })

  test('more with boost only: lost behind the compressor', async () => {
    const context = await contextOf({ ...DRIVING, signals: { 132: flow(1.02, 1.3) } })
    expect(airLostWithBoost(context)).toMatchObject({ seen: true })
    expect(airRatioConstant(context)?.seen).toBe(false)
  })

  test('less and less: dirt or a leak before the engine', async () => {
    const context = await contextOf({ ...DRIVING, signals: { 132: flow(0.98, 0.75) } })
    expect(airRatioFalls(context)?.seen).toBe(true)
  })

  test('at rest', async () => {
    expect(airZero(await contextOf({ signals: { 132: (t) => (t < 12 ? 14 : 60) } }))?.seen).toBe(true)
  })
})

describe('boost', () => {
  test.each([
    [0, false],
    [10, true],
  ])('of %d kPa at rest is wrong: %s', async (kPa, wrong) => {
    expect(boostAtRest(await contextOf({ signals: { 102: (t) => (t < 12 ? kPa : kPa + 1) } }))?.seen).toBe(wrong)
  })

  test('from absolute pressure and barometer where boost is not sent', async () => {
    expect(boostAtRest(await contextOf({ signals: { 102: null, 3563: 110, 108: 98 } }))?.seen).toBe(true)
  })

  test('under load', async () => {
    expect(boostWeakUnderLoad(await contextOf(DRIVING))?.seen).toBe(false)
    expect(boostWeakUnderLoad(await contextOf({ ...DRIVING, signals: { 102: (t) => (t > 40 ? 32 : 0) } }))?.seen).toBe(
      true,
    )
    expect(boostWeakUnderLoad(await contextOf({}))).toBeNull()
  })
})

describe('oil pressure', () => {
  test('that is there', async () => {
    const context = await contextOf({})
    expect(oilPressureAbsent(context)?.seen).toBe(false)
    expect(oilPressureLate(context)?.seen).toBe(false)
  })

  test('that never comes', async () => {
    const context = await contextOf({ signals: { 100: (t) => (t < 15 ? 0 : t % 3 < 1 ? 8 : t % 3 < 2 ? 12 : 16) } })
    expect(oilPressureAbsent(context)).toMatchObject({ seen: true })
    expect(oilSenderAlive(context)?.seen).toBe(true)
  })

  test('a reading of nothing leaves open whether the sender lives', async () => {
    expect(oilSenderAlive(await contextOf({ signals: { 100: 0 } }))).toBeNull()
  })

  test('that comes late and then stays', async () => {
    const context = await contextOf({ signals: { 100: (t) => (t < 20.5 || t >= 121 ? 0 : 390) } })
    expect(oilPressureLate(context)).toMatchObject({ seen: true })
    expect(oilPressureQuickLater(context)).toBeNull()
    expect(oilPressureLate(await contextOf({ celsius: -20, signals: { 100: (t) => (t < 20.5 ? 0 : 390) } }))).toBeNull()
  })

  test('of a switch: two values at every speed', async () => {
    const on: ValueAt = (t) => (t < 15 || t >= 121 ? 0 : 276)
    expect(oilPressureTwoValues(await contextOf({ ...DRIVING, signals: { 100: on } }))).toMatchObject({ seen: true })
    // One speed only proves nothing, and a sender at its relief valve passes through values in between.
    expect(oilPressureTwoValues(await contextOf({ signals: { 100: on } }))).toBeNull()
    const sender: ValueAt = (t) =>
      t < 15 ? 0 : t < 16 ? 120 : t < 17 ? 300 : t < 121 ? 430 : t < 122 ? 250 : t < 123 ? 90 : 0
    expect(oilPressureTwoValues(await contextOf({ ...DRIVING, signals: { 100: sender } }))?.seen).not.toBe(true)
  })
})

describe('fuel', () => {
  /** Delivery and oil pressure in their group. */
  const delivery = (kPa: (t: number) => number): MadeRun => ({
    without: [65263],
    others: every(65263, 0.5, [0.1, 124], (t) => ({ 94: Math.max(0, kPa(t)), 100: t > 16 && t < 120 ? 140 : 0 })),
  })

  test('that comes steadily', async () => {
    const context = await contextOf(delivery((t) => (t < 124 ? 420 : 0)))
    expect(deliveryStarved(context)?.seen).toBe(false)
    expect(deliveryHunts(context)?.seen).toBe(false)
    expect(hardStart(context)?.seen).toBe(false)
    expect(railLow(context)?.seen).toBe(false)
  })

  test('that comes in gulps: air', async () => {
    const context = await contextOf(delivery((t) => (t < 8 ? 400 : 170 + 70 * Math.sin(t * 1.4))))
    expect(deliveryStarved(context)?.seen).toBe(true)
    expect(deliveryHunts(context)?.seen).toBe(true)
  })

  test('that is steadily low: filter or pump', async () => {
    const context = await contextOf(delivery((t) => (t < 8 ? 400 : 200)))
    expect(deliveryStarved(context)?.seen).toBe(true)
    expect(deliveryHunts(context)?.seen).toBe(false)
  })

  test('a rail below its command', async () => {
    expect(railLow(await contextOf({ signals: { 157: (t) => (t > 40 && t < 60 ? 16 : 30) } }))?.seen).toBe(true)
  })

  test('attempts that fail', async () => {
    const cranks = (t: number): boolean => (t >= 12 && t < 20) || (t >= 40 && t < 42)
    const run: MadeRun = {
      instants: { crank: 40, fire: 42 },
      signals: {
        190: (t) => (cranks(t) ? 190 : t >= 42 && t < 120 ? Math.min(750, 190 + 700 * (t - 42)) : 0),
        1675: (t) => (cranks(t) ? 2 : t >= 42 && t < 120 ? 4 : 0),
        3543: null,
      },
    }
    expect((await contextOf(run)) && hardStart(await contextOf(run))?.text).toContain('1 of 2 attempts to start failed')
  })

  test('water is a state of its own', async () => {
    const wet = await contextOf({ others: every(65279, 10, [1, 120], (t) => ({ 97: t > 20 ? 1 : 0 })) })
    expect(waterReported(wet)?.seen).toBe(true)
    expect(waterReported(await contextOf({ others: every(65279, 10, [1, 120], () => ({ 97: 0 })) }))?.seen).toBe(false)
    expect(waterReported(await contextOf({}))).toBeNull()
  })
})

describe('coolant', () => {
  const long = {
    instants: { drive: [60, 1500] as const, keyOff: 1520, end: 1523 },
    periods: { 61444: 100, 61443: 100, 61450: 500 },
  }

  test('that levels off too low under load', async () => {
    const plateau = (t: number): number => Math.min(56, 8 + t / 12)
    const context = await contextOf({ ...long, celsius: 8, signals: { 110: plateau, 175: (t) => plateau(t) + 2 } })
    expect(coolantNeverWarm(context)).toMatchObject({ seen: true })
    expect(oilTemperatureAgrees(context)?.seen).toBe(true)
    expect(coolantAndIntakeSwapped(context)?.seen).toBe(false)
  })

  test('that warms up', async () => {
    expect(coolantNeverWarm(await contextOf({ ...long, celsius: 8 }))?.seen).toBe(false)
  })

  test('an idling diesel may never warm up', async () => {
    const idling = { instants: { keyOff: 1520, end: 1523 }, periods: long.periods }
    expect(
      coolantNeverWarm(await contextOf({ ...idling, signals: { 110: (t) => Math.min(48, 8 + t / 12) } })),
    ).toBeNull()
  })

  test('whose plug sits on the intake sensor', async () => {
    const signals = {
      110: (t: number) => 24 + 6 * Math.sin(t / 20),
      105: (t: number) => Math.min(85, 8 + t / 8),
      175: (t: number) => Math.min(83, 8 + t / 9),
    }
    const context = await contextOf({ ...long, celsius: 8, signals })
    expect(coolantAndIntakeSwapped(context)).toMatchObject({ seen: true })
    expect(oilTemperatureAgrees(context)?.seen).toBe(false)
  })
})

describe('engine speed', () => {
  const dips =
    (at: readonly number[], to: number): ValueAt =>
    (t) =>
      t < 12 || t >= 120.6
        ? 0
        : t < 14
          ? 200
          : at.some((start) => t >= start && t < start + 0.12)
            ? to
            : t >= 40 && t < 110
              ? 2000
              : 750

  test('that reads half or nothing for a moment', async () => {
    const context = await contextOf({ ...DRIVING, signals: { 190: dips([50, 60, 70], 1000) } })
    expect(speedDrops(context)).toMatchObject({ seen: true })
    expect(speedDrops(context)?.text).toContain('from 2000 rpm to 1000 rpm and is back within half a second, 3 times')
    expect(oilSteadyInDrops(context)?.seen).toBe(true)
  })

  test('one such moment is not enough', async () => {
    expect(speedDrops(await contextOf({ ...DRIVING, signals: { 190: dips([50], 0) } }))).toBeNull()
  })

  test('a gear change falls at once and comes back by degrees', async () => {
    const shift: ValueAt = (t) => (t >= 50 && t < 56 ? 1200 + (t - 50) * 130 : dips([], 0)(t))
    expect(speedDrops(await contextOf({ ...DRIVING, signals: { 190: shift } }))?.seen).toBe(false)
  })

  test('that swings once in every two turns', async () => {
    const weak: ValueAt = (t) =>
      t < 12 || t >= 120 ? 0 : t < 14 ? 200 : 750 + 17 * Math.sin(t * 2 * Math.PI * (750 / 120))
    const context = await contextOf({ signals: { 190: weak } })
    expect(halfOrderSwing(context)).toMatchObject({ seen: true })
    expect(halfOrderSwing(context)?.text).toContain('±17 rpm')
    expect(halfOrderSwing(await contextOf({}))?.seen).toBe(false)
    // Ten messages a second are too few to see six cycles.
    expect(halfOrderSwing(await contextOf({ signals: { 190: weak }, periods: { 61444: 100 } }))).toBeNull()
  })
})

describe('the exhaust gas valve', () => {
  test('that stays half open', async () => {
    expect(egrDoesNotFollow(await contextOf({ ...DRIVING, signals: { 27: 35, 2791: null } }))).toMatchObject({
      seen: true,
    })
  })

  test('that rests shut is not stuck', async () => {
    expect(egrDoesNotFollow(await contextOf({ ...DRIVING, signals: { 27: 2, 2791: null } }))).toBeNull()
  })

  test('against its command', async () => {
    expect(egrDoesNotFollow(await contextOf({ ...DRIVING, signals: { 27: 30, 2791: 0 } }))?.seen).toBe(true)
    expect(egrDoesNotFollow(await contextOf({ ...DRIVING, signals: { 27: 30, 2791: 29 } }))?.seen).toBe(false)
  })
})
