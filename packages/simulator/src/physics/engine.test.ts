import { describe, expect, it } from 'vitest'
import { ENGINE, FUEL, FULL_LOAD_TORQUE, frictionTorque, OIL, oilPressure } from '../figures.js'
import { healthyHardware } from '../hardware.js'
import { interpolate } from '../math.js'
import { Random } from '../random.js'
import { AirPath } from './air.js'
import { Cooling } from './cooling.js'
import { RADIANS } from './crankshaft.js'
import { FuelSystem } from './fuel.js'
import { OilGallery } from './oil.js'
import { mostIndicatedTorque } from './plant.js'

describe('geometry and torque', () => {
  it('96 × 103.6 mm and four cylinders make 3.0 L', () => {
    const litres = (Math.PI / 4) * ENGINE.bore ** 2 * ENGINE.stroke * ENGINE.cylinders * 1000
    expect(litres).toBeCloseTo(3, 2)
    expect(ENGINE.displacement * 1000).toBeCloseTo(litres, 2)
  })

  it('makes 110 kW at 3,200 rpm', () => {
    expect((interpolate(FULL_LOAD_TORQUE, 3200) * 3200 * RADIANS) / 1000).toBeCloseTo(110, 0)
  })
})

describe('fuel', () => {
  /** L/h for an indicated torque held for a while. */
  const rate = (rpm: number, fuelTorque: number): number => {
    const fuel = new FuelSystem(new Random(1))
    for (let i = 0; i < 300; i++) {
      const mostTorque = mostIndicatedTorque(rpm)
      fuel.step(0.01, { rpm, fuelTorque, mostTorque, railCommand: 60, pump: true, burning: 1 }, healthyHardware())
    }
    return fuel.rate
  }

  // Figures of the invented engine at full load.
  it.each([
    [1200, 9.5],
    [2000, 21.6],
    [3200, 31],
  ])('full load at %i rpm takes about %f L/h', (rpm, wanted) => {
    expect(Math.abs(rate(rpm, mostIndicatedTorque(rpm)) / wanted - 1)).toBeLessThan(0.06)
  })

  it('full load at 2,000 rpm is 205 to 225 g/kWh, as engines of the class have it', () => {
    const kilowatts = (interpolate(FULL_LOAD_TORQUE, 2000) * 2000 * RADIANS) / 1000
    const grams = rate(2000, mostIndicatedTorque(2000)) * FUEL.density * 1000
    expect(grams / kilowatts).toBeGreaterThan(205)
    expect(grams / kilowatts).toBeLessThan(225)
  })

  it('warm idle takes about 0.85 L/h', () => {
    // Friction, and 24 A of alternator through a belt of 60 %: 7 N·m.
    expect(Math.abs(rate(750, frictionTorque(750) + 7) - 0.85)).toBeLessThan(0.06)
  })

  it('the rail fills in about 0.6 s of cranking, and not with much air', () => {
    const time = (fuelAir: number): number => {
      const fuel = new FuelSystem(new Random(1))
      for (let i = 1; i < 500; i++) {
        const inputs = { rpm: 190, fuelTorque: 0, mostTorque: 100, railCommand: 30, pump: true, burning: 0 }
        fuel.step(0.01, inputs, { ...healthyHardware(), fuelAir })
        if (fuel.injects) return i / 100
      }
      return Number.POSITIVE_INFINITY
    }
    expect(time(0)).toBeGreaterThan(0.2)
    expect(time(0)).toBeLessThan(0.8)
    expect(time(0.9)).toBe(Number.POSITIVE_INFINITY)
  })
})

describe('oil', () => {
  // Figures of the invented engine.
  it.each([
    [750, 90, 125],
    [850, 5, 430],
    [2000, 90, 333],
    [3000, 90, 430],
  ])('at %i rpm and %i °C: %i kPa', (rpm, temperature, pressure) => {
    expect(Math.abs(oilPressure(rpm, temperature) - pressure)).toBeLessThan(2)
  })

  /** s of running at 850 rpm, after two seconds of cranking, until the gauge reads 70 kPa. */
  const delay = (oilToFill: number, oilBlocked = 0): number => {
    const hardware = { ...healthyHardware(), oilToFill, oilBlocked }
    const gallery = new OilGallery(hardware, true)
    for (let i = 0; i < 200; i++) gallery.step(0.01, 190, 8, hardware)
    for (let i = 1; i < 3000; i++) {
      gallery.step(0.01, 850, 8, hardware)
      if (gallery.pressure > 70) return i / 100
    }
    return Number.POSITIVE_INFINITY
  }

  it('is there 1.5 s after firing, 5 s later with a dry filter, and never with a blocked hose', () => {
    expect(Math.abs(delay(0) - 1.5)).toBeLessThan(0.3)
    expect(Math.abs(delay(OIL.dryFilter) - delay(0) - 4.5)).toBeLessThan(0.5)
    expect(delay(0, 0.975)).toBe(Number.POSITIVE_INFINITY)
  })
})

describe('air', () => {
  const settled = (rpm: number, load: number, hardware = healthyHardware(), egrCommand = 0): AirPath => {
    const air = new AirPath(20, 20)
    const inputs = {
      rpm,
      load,
      fuelPower: 80_000 * load,
      egrCommand,
      ambientPressure: 83.5,
      ambient: 20,
      coolant: 85,
      heaterPower: 0,
      speed: 50,
    }
    for (let i = 0; i < 3000; i++) air.step(0.01, inputs, hardware)
    return air
  }

  // Boost map of the invented engine, kPa above ambient, at 0, 50 and 100 % load.
  it.each([
    [1000, [0, 8, 20]],
    [1500, [2, 30, 70]],
    [2000, [4, 45, 100]],
    [2500, [7, 55, 110]],
    [3200, [12, 65, 110]],
  ])('boost at %i rpm', (rpm, wanted) => {
    expect([0, 0.5, 1].map((load) => Math.round(settled(rpm, load).boost))).toEqual(wanted)
  })

  it('takes its time to build boost', () => {
    const air = new AirPath(20, 20)
    const inputs = {
      rpm: 1800,
      load: 1,
      fuelPower: 2e5,
      egrCommand: 0,
      ambientPressure: 83.5,
      ambient: 20,
      coolant: 85,
      heaterPower: 0,
      speed: 50,
    }
    for (let i = 0; i < 50; i++) air.step(0.01, inputs, healthyHardware())
    expect(air.boost).toBeGreaterThan(20)
    expect(air.boost).toBeLessThan(60)
  })

  it('breathes what ideal gas and displacement allow (speed density by hand)', () => {
    const air = settled(2000, 1)
    const density = ((83.5 + air.boost) * 1000) / (287 * (air.charge + 273.15))
    const kgPerHour = 3600 * 0.9 * 0.0029995 * (2000 / 120) * density
    expect(Math.abs(air.flow / kgPerHour - 1)).toBeLessThan(0.002)
  })

  it('takes the fed-back exhaust gas off the fresh air', () => {
    const without = settled(1500, 0.35)
    const fed = settled(1500, 0.35, healthyHardware(), 40)
    expect(fed.egrFlow).toBeGreaterThan(15)
    expect(fed.flow).toBeLessThan(without.flow - 0.8 * fed.egrFlow)
  })

  it('loses boost and passes more air than it breathes with a hose off: 35 of 90 kPa, 1.3 times', () => {
    const air = settled(2000, 0.9, { ...healthyHardware(), boostLeak: 1 })
    expect(Math.abs(air.boost - 35)).toBeLessThan(3)
    expect(Math.abs(air.flow / air.breathed - 1.35)).toBeLessThan(0.06)
    const idle = settled(750, 0.15, { ...healthyHardware(), boostLeak: 1 })
    expect(Math.abs(idle.flow / idle.breathed - 1.02)).toBeLessThan(0.02)
  })

  it('exhaust is hotter the less air there is for the fuel, and 400 to 800 °C at full load', () => {
    const air = settled(2000, 1)
    expect(air.exhaust).toBeGreaterThan(300)
    expect(air.exhaust).toBeLessThan(850)
  })
})

describe('heat', () => {
  const run = (minutes: number, inputs: Partial<Parameters<Cooling['step']>[1]>, start = 20): Cooling => {
    const cooling = new Cooling(start, start, 20)
    const all = { fuelPower: 0, load: 0, frictionPower: 0, speed: 0, fan: 0, ambient: 20, running: true, ...inputs }
    for (let i = 0; i < minutes * 6000; i++) cooling.step(0.01, all, healthyHardware())
    return cooling
  }

  it('idling at 0.85 L/h warms the coolant by 1.4 K a minute', () => {
    // 0.85 L/h × 0.836 kg/L × 42.8 MJ/kg = 8.45 kW; 0.30 of it into 110 kJ/K: 1.38 K/min.
    const watts = (0.85 * 0.836 * 42.8e6) / 3600
    expect((0.3 * watts * 60) / 110e3).toBeCloseTo(1.38, 2)
    const warmed = run(2, { fuelPower: watts }).coolant - 20
    expect(warmed / 2).toBeGreaterThan(1)
    expect(warmed / 2).toBeLessThan(1.45)
  })

  it('at 8 L/h the thermostat begins to open within 5 to 10 minutes', () => {
    const watts = (8 * 0.836 * 42.8e6) / 3600
    const inputs = { fuelPower: watts, load: 0.4, frictionPower: 1500, speed: 50 }
    expect(run(5, inputs).coolant).toBeLessThan(82)
    expect(run(10, inputs).coolant).toBeGreaterThan(80)
  })

  it('in a steady state what the fuel brings leaves again (energy balance)', () => {
    const cooling = run(60, { fuelPower: 60e3, load: 0.4, speed: 60 }, 80)
    const share = 0.3 + (0.22 - 0.3) * 0.8
    const radiator = cooling.thermostat * (110 + 13 * 60)
    const leaves = (50 + radiator) * (cooling.coolant - 20) + (9 + 0.35 * 60) * (cooling.oil - 20)
    expect(Math.abs(leaves / (share * 60e3) - 1)).toBeLessThan(0.02)
    expect(cooling.coolant).toBeGreaterThan(80)
    expect(cooling.coolant).toBeLessThan(97)
  })

  it('a thermostat stuck open keeps it cold', () => {
    const cooling = new Cooling(20, 20, 2)
    const inputs = { fuelPower: 80e3, load: 0.4, frictionPower: 1500, speed: 70, fan: 0, ambient: 2, running: true }
    const hardware = { ...healthyHardware(), thermostatStuck: 0.45 }
    for (let i = 0; i < 180_000; i++) cooling.step(0.01, inputs, hardware)
    expect(cooling.coolant).toBeLessThan(65)
  })
})
