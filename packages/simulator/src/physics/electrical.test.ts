import { describe, expect, it } from 'vitest'
import { ELECTRICAL } from '../figures.js'
import { healthyHardware } from '../hardware.js'
import { Electrical, type ElectricalInputs } from './electrical.js'

const REST: ElectricalInputs = { rpm: 0, starter: false, heater: false, load: 0, temperature: 20 }

/** The system after some seconds of the same conditions. */
function settled(inputs: Partial<ElectricalInputs>, seconds = 2, hardware = healthyHardware()): Electrical {
  const electrical = new Electrical(ELECTRICAL.restVolts, hardware)
  for (let i = 0; i < seconds * 100; i++) electrical.step(0.01, { ...REST, ...inputs }, hardware)
  return electrical
}

describe('figures of the invented battery', () => {
  it('rests at 12.65 V', () => {
    expect(settled({}).volts).toBeCloseTo(12.65, 3)
  })

  it('sags by 0.9 V under the heater’s 125 A', () => {
    const heating = settled({ heater: true }, 0.1)
    expect(12.65 - heating.volts).toBeGreaterThan(0.8)
    expect(12.65 - heating.volts).toBeLessThan(1)
    expect(heating.heaterAmps).toBeGreaterThan(118)
    expect(heating.heaterAmps).toBeLessThan(132)
  })

  it('gives a standing starter 700 A', () => {
    const standing = settled({ starter: true }, 0.02)
    expect(standing.starterAmps).toBeGreaterThan(680)
    expect(standing.starterAmps).toBeLessThan(720)
  })

  it('gives a turning starter 350 A at 220 rpm and 10.2 V', () => {
    const cranking = settled({ starter: true, rpm: 220 }, 0.1)
    expect(cranking.starterAmps).toBeGreaterThan(335)
    expect(cranking.starterAmps).toBeLessThan(365)
    expect(cranking.volts).toBeGreaterThan(10.05)
    expect(cranking.volts).toBeLessThan(10.35)
  })

  it('is held at 14.2 to 14.4 V by the alternator after its ramp', () => {
    expect(settled({ rpm: 750, load: 18 }, 60).volts).toBeGreaterThan(14.1)
    expect(settled({ rpm: 750, load: 18 }, 60).volts).toBeLessThan(14.45)
    expect(settled({ rpm: 750, load: 18 }, 0.2).volts).toBeLessThan(13.5)
  })

  it('stays near 13.6 V with the heater stuck on', () => {
    const stuck = settled({ rpm: 760, load: 18 }, 120, { ...healthyHardware(), heaterWelded: 1 })
    expect(Math.abs(stuck.volts - 13.65)).toBeLessThan(0.15)
  })
})

describe('laws every such circuit obeys', () => {
  const cases: [string, Partial<ElectricalInputs>, number][] = [
    ['at rest with a load', { load: 12 }, 1],
    ['heating', { heater: true, load: 10 }, 5],
    ['cranking in the cold', { starter: true, rpm: 130, temperature: -20, load: 8 }, 0.5],
    ['charging', { rpm: 900, load: 20 }, 5],
    ['charging and heating', { rpm: 900, load: 20, heater: true }, 30],
    ['overloaded', { rpm: 900, load: 200 }, 10],
  ]

  it.each(cases)('%s: the currents into the bus and out of it are equal (Kirchhoff)', (_, inputs, seconds) => {
    const { batteryAmps, alternatorAmps, starterAmps, heaterAmps } = settled(inputs, seconds)
    expect(batteryAmps + alternatorAmps - starterAmps - heaterAmps - (inputs.load ?? 0)).toBeCloseTo(0, 4)
  })

  it('6 mΩ more in the ground cost 6 mV per ampere (Ohm)', () => {
    const amps = 300
    const good = settled({ load: amps }, 0.1)
    const poor = settled({ load: amps }, 0.1, { ...healthyHardware(), groundResistance: 0.006 })
    expect(good.volts - poor.volts).toBeCloseTo(0.006 * amps, 2)
  })

  it('the charge that left is missing: 35 A·h out of 70 take half the charge, 0.45 V', () => {
    expect(12.65 - settled({ load: 126 }, 1000).volts - 126 * 0.007).toBeCloseTo(0.45, 1)
  })
})
