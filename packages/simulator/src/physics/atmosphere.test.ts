import { describe, expect, it } from 'vitest'
import { airDensity, speedDensity, standardPressure } from './atmosphere.js'

describe('standardPressure', () => {
  // ISO 2533 standard atmosphere, tabulated pressures in kPa (handbook values).
  it.each([
    [0, 101.325],
    [500, 95.461],
    [1000, 89.875],
    [1600, 83.5],
    [2000, 79.495],
    [3000, 70.109],
    [5000, 54.02],
  ])('at %i m', (altitude, pressure) => {
    expect(Math.abs(standardPressure(altitude) - pressure)).toBeLessThan(0.06)
  })
})

describe('airDensity', () => {
  it.each([
    // Standard atmosphere at sea level: 1.225 kg/m³ at 15 °C.
    [101.325, 15, 1.225],
    // Ideal gas by hand: 100 kPa and 35 °C.
    [100, 35, 1.131],
    [101.325, 0, 1.2929],
  ])('%f kPa, %f °C', (pressure, temperature, density) => {
    expect(Math.abs(airDensity(pressure, temperature) - density)).toBeLessThan(0.001)
  })
})

it('speedDensity: 3.0 L at 750 rpm, 100 kPa and 35 °C with 0.90 draws 68.7 kg/h (worked by hand)', () => {
  // 1.131 kg/m³ × 0.003 m³ × 6.25 intake strokes of all cylinders a second × 0.9 × 3600
  expect(speedDensity(750, 0.003, 0.9, 100, 35)).toBeCloseTo(68.7, 1)
})
