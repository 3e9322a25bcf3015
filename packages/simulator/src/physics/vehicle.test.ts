import { describe, expect, it } from 'vitest'
import { VEHICLE } from '../figures.js'
import { type RoadInputs, Vehicle } from './vehicle.js'

const ROAD: RoadInputs = {
  engineRpm: 750,
  engineTorque: 0,
  pedal: 0,
  brake: 0,
  drive: true,
  grade: 0,
  ambientPressure: 83.5,
  ambient: 15,
}

describe('Vehicle', () => {
  it('rolls to a stop as rolling resistance and air say', () => {
    const vehicle = new Vehicle()
    vehicle.speed = 20
    const step = 0.01
    vehicle.step(step, { ...ROAD, engineRpm: 0 })
    const density = 83_500 / (287 * 288.15)
    const force = 5200 * 9.80665 * 0.012 + 0.5 * density * 3.6 * 400
    // The converter takes nothing from a standing engine.
    expect((20 - vehicle.speed) / step).toBeCloseTo(force / (5200 * 1.05), 2)
  })

  it('gains and loses on a slope by its weight', () => {
    const change = (grade: number): number => {
      const vehicle = new Vehicle()
      vehicle.speed = 10
      vehicle.step(0.01, { ...ROAD, engineRpm: 0, grade })
      return vehicle.speed - 10
    }
    const wanted = (9.80665 * 0.05) / 1.05
    expect((change(0) - change(5)) / 0.01).toBeCloseTo(wanted, 3)
  })

  it('turns wheels, output and input shaft in the ratios it is built with', () => {
    const vehicle = new Vehicle()
    vehicle.speed = 80 / 3.6
    vehicle.gear = 6
    // 80 km/h on wheels of 0.4 m radius: 530.5 rpm.
    expect(vehicle.wheelRpm).toBeCloseTo(530.5, 1)
    expect(vehicle.outputRpm).toBeCloseTo(530.5 * VEHICLE.axleRatio, 0)
    expect(vehicle.inputRpm).toBeCloseTo(530.5 * 4.3 * 0.69, 0)
    expect(vehicle.kmh).toBeCloseTo(80, 6)
  })

  it('shifts up through all gears when it is pulled, and into neutral when told to', () => {
    const vehicle = new Vehicle()
    const seen = new Set<number>()
    for (let i = 0; i < 20_000; i++) {
      vehicle.step(0.01, { ...ROAD, engineRpm: Math.max(1800, vehicle.inputRpm + 300), engineTorque: 300, pedal: 0.3 })
      seen.add(vehicle.gear)
    }
    expect([...seen]).toEqual([1, 2, 3, 4, 5, 6])
    vehicle.step(0.01, { ...ROAD, drive: false })
    expect(vehicle.gear).toBe(0)
  })

  it('stands with the brake on a hill', () => {
    const vehicle = new Vehicle()
    for (let i = 0; i < 100; i++) vehicle.step(0.01, { ...ROAD, grade: 10, brake: 0.5, engineRpm: 750 })
    expect(vehicle.speed).toBe(0)
  })
})
