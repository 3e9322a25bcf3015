import { UNITS, type Unit } from '@firstcrank/decoder/catalog'
import { describe, expect, it, test } from 'vitest'
import { shownDifference, shownUnit, shownValue, US_UNITS } from './units.js'

describe('units of the United States', () => {
  // Factors as printed, to seven digits, in NIST Special Publication 811, appendix B.8.
  test.each<[Unit, number, string, number]>([
    ['kPa', 6.894757, 'psi', 1],
    ['MPa', 0.006894757, 'psi', 1],
    ['km/h', 1.609344, 'mph', 1],
    ['km', 1.609344, 'mi', 1],
    ['m', 0.3048, 'ft', 1],
    ['mm', 25.4, 'in', 1],
    ['L', 3.785412, 'gal', 1],
    ['L/h', 3.785412, 'gal/h', 1],
    ['kg', 0.4535924, 'lb', 1],
    ['kg/h', 0.4535924, 'lb/h', 1],
    ['kN', 0.004448222, 'lbf', 1],
    ['N·m', 1.355818, 'lb·ft', 1],
    ['kW', 0.7456999, 'hp', 1],
    // One mile a US gallon is 0.4251437 km/L (the same tables, metre per cubic metre).
    ['km/L', 0.4251437, 'mi/gal', 1],
    // Fixed points of the two scales.
    ['°C', 0, '°F', 32],
    ['°C', 100, '°F', 212],
    ['°C', -40, '°F', -40],
  ])('%s: %d is 1 %s', (unit, value, shown, expected) => {
    expect(shownUnit(unit, 'us')).toBe(shown)
    expect(shownValue(value, unit, 'us')).toBeCloseTo(expected, 6)
  })

  it('have an exact psi', () => {
    // 0.45359237 kg · 9.80665 m/s² / (0.0254 m)², by definition.
    expect(shownValue(6.894757293168361, 'kPa', 'us')).toBeCloseTo(1, 14)
  })

  it('give a difference of temperatures no offset', () => {
    expect(shownDifference(5, '°C', 'us')).toBe(9)
    expect(shownDifference(6.894757293168361, 'kPa', 'us')).toBeCloseTo(1, 14)
  })
})

describe('metric units', () => {
  test.each(UNITS)('%s is shown as it is sent', (unit) => {
    expect([shownUnit(unit, 'metric'), shownValue(-12.5, unit, 'metric'), shownDifference(3, unit, 'metric')]).toEqual([
      unit,
      -12.5,
      3,
    ])
  })

  it('stay where there is no other', () => {
    expect(Object.keys(US_UNITS)).not.toContain('V')
    expect([shownUnit('V', 'us'), shownValue(12.6, 'V', 'us')]).toEqual(['V', 12.6])
  })
})
