import { describe, expect, it } from 'vitest'
import { ELECTRICAL, ENGINE } from '../figures.js'
import { healthyHardware } from '../hardware.js'
import { Random } from '../random.js'
import { type CrankInputs, Crankshaft, RADIANS } from './crankshaft.js'
import { Electrical } from './electrical.js'

const STILL: CrankInputs = {
  starterAmps: 0,
  fuelTorque: 0,
  loadTorque: 0,
  oilTemperature: 90,
  chargeTemperature: 30,
  heaterHeat: 1,
  weakCylinder: 1,
}

/** Turns the starter for some seconds and gives the mean speed of the last one, and the mean volts. */
function crank(temperature: number, hardware = healthyHardware()): { rpm: number; volts: number } {
  const shaft = new Crankshaft(new Random(1))
  const electrical = new Electrical(ELECTRICAL.restVolts, hardware)
  let rpm = 0
  let volts = 0
  for (let i = 0; i < 300; i++) {
    electrical.step(0.01, { rpm: shaft.rpm, starter: true, heater: false, load: 10, temperature }, hardware)
    shaft.step(0.01, { ...STILL, starterAmps: electrical.starterAmps, oilTemperature: temperature })
    if (i >= 200) {
      rpm += shaft.rpm / 100
      volts += electrical.volts / 100
    }
  }
  return { rpm, volts }
}

describe('cranking', () => {
  // Figures of the invented engine.
  it.each([
    [20, 220],
    [0, 180],
    [-10, 150],
    [-20, 120],
  ])('at %i °C about %i rpm', (temperature, rpm) => {
    expect(Math.abs(crank(temperature).rpm - rpm)).toBeLessThan(0.07 * rpm)
  })

  it('with 6 mΩ in the ground: about 105 rpm and 7.8 V', () => {
    const { rpm, volts } = crank(9, { ...healthyHardware(), groundResistance: 0.006 })
    expect(Math.abs(rpm - 108)).toBeLessThan(10)
    expect(Math.abs(volts - 7.7)).toBeLessThan(0.25)
  })
})

describe('mechanics', () => {
  it('a known torque speeds a known inertia up as Newton says', () => {
    const shaft = new Crankshaft(new Random(1))
    shaft.rpm = 1500
    const drag = shaft.drag(90)
    shaft.step(0.01, { ...STILL, loadTorque: -(45 + drag) })
    // 45 N·m on 0.45 kg·m² are 100 rad/s²; in 10 ms 1 rad/s.
    expect(45 / ENGINE.inertia).toBeCloseTo(100, 6)
    expect(shaft.rpm - 1500).toBeCloseTo(1 / RADIANS, 1)
  })

  it('friction stops it and never turns it backwards', () => {
    const shaft = new Crankshaft(new Random(1))
    shaft.rpm = 750
    let seconds = 0
    while (shaft.rpm > 0 && seconds < 5) {
      shaft.step(0.01, STILL)
      seconds += 0.01
    }
    expect(seconds).toBeGreaterThan(0.3)
    expect(seconds).toBeLessThan(1.5)
    shaft.step(0.01, STILL)
    expect(shaft.rpm).toBe(0)
  })

  it('a weak cylinder costs torque and makes it uneven', () => {
    const torques = (weakCylinder: number): number[] => {
      const shaft = new Crankshaft(new Random(5))
      shaft.rpm = 800
      shaft.burning = 1
      return Array.from({ length: 400 }, () => {
        const before = shaft.rpm
        shaft.step(0.01, { ...STILL, fuelTorque: 60, weakCylinder })
        return shaft.rpm - before
      })
    }
    const sum = (values: number[]): number => values.reduce((total, value) => total + value, 0)
    expect(sum(torques(0.2))).toBeLessThan(sum(torques(1)))
  })
})

describe('firing', () => {
  /** s of cranking at 180 rpm until it fires. */
  const firesAfter = (chargeTemperature: number, heaterHeat: number): number => {
    const shaft = new Crankshaft(new Random(1))
    for (let i = 1; i < 6000; i++) {
      shaft.rpm = 180
      shaft.step(0.01, { ...STILL, fuelTorque: 100, chargeTemperature, heaterHeat })
      if (shaft.fired) return i / 100
    }
    return Number.POSITIVE_INFINITY
  }

  // Figures of the invented engine; −5 °C without the heater: eleven seconds.
  it.each([
    [20, 1, 1.2],
    [0, 1, 2],
    [-10, 1, 3.5],
    [-20, 1, 5],
    [-5, 0, 11],
  ])('at %i °C with %i of the heater: after %f s', (temperature, heat, seconds) => {
    expect(Math.abs(firesAfter(temperature, heat) - seconds)).toBeLessThan(0.05 + 0.03 * seconds)
  })

  it('does not fire without fuel or too slow', () => {
    const shaft = new Crankshaft(new Random(1))
    for (let i = 0; i < 1000; i++) {
      shaft.rpm = i < 500 ? 180 : 30
      shaft.step(0.01, { ...STILL, fuelTorque: i < 500 ? 0 : 100 })
    }
    expect(shaft.fired).toBe(false)
  })
})
