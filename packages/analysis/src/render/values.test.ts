import { describe, expect, it, test } from 'vitest'
import { at, limit, START } from '../../../../tests/support/invented-report.js'
import { clock, lengthText, numberText, Values } from './values.js'

const facts = { from: START, dated: true }
const metric = new Values(facts)
const us = new Values(facts, { units: 'us' })

describe('how long a recording is', () => {
  it.each([
    [0, '0.0 s'],
    [12.34, '12.3 s'],
    [59.94, '59.9 s'],
    [59.96, '1 min 0 s'],
    [318.2, '5 min 18 s'],
    [3599.4, '59 min 59 s'],
    [3599.6, '1 h 0 min'],
    [7350, '2 h 3 min'],
  ])('%d s: %s', (seconds, text) => {
    expect(lengthText(seconds * 1e6)).toBe(text)
  })
})

describe('numbers', () => {
  test.each<[number, number, string]>([
    [0, 0, '0'],
    [-0.04, 1, '0.0'],
    [-40, 0, '−40'],
    [1234.5, 1, '1,234.5'],
    [1_234_567, 0, '1,234,567'],
    [999.96, 1, '1,000.0'],
  ])('%d with %i digits is %s', (value, digits, text) => {
    expect(numberText(value, digits)).toBe(text)
  })
})

describe('times', () => {
  test.each<[number, string]>([
    [0, '0:00.0'],
    [13.24, '0:13.2'],
    [59.96, '1:00.0'],
    [724.5, '12:04.5'],
    [3723.4, '1:02:03.4'],
    [-2, '−0:02.0'],
  ])('%d s after the first frame is %s', (seconds, text) => {
    expect(clock(seconds * 1e6)).toBe(text)
    expect(metric.time(at(seconds))).toBe(text)
  })

  it('of a moment are told once', () => {
    expect(metric.span({ from: at(1), to: at(1.01) })).toBe('0:01.0')
    expect(metric.span({ from: at(1), to: at(2) })).toBe('0:01.0 to 0:02.0')
  })

  it('have a date only where the recording has one', () => {
    expect(metric.date(START)).toBe('2025-06-15 12:26:40 UTC')
    expect(new Values({ from: 0, dated: false }).date(0)).toBeNull()
  })
})

describe('measures', () => {
  test.each<[Values, Parameters<Values['measure']>[0], string]>([
    [metric, { value: 12.65, unit: 'V', uncertainty: 0.025 }, '12.65 ± 0.03 V'],
    [metric, { value: 190, unit: 'rpm', uncertainty: 0.06 }, '190 rpm'],
    [metric, { value: 3, unit: 'count', uncertainty: null }, '3'],
    [metric, { value: 1.4, unit: '°C', uncertainty: 0.1, per: 'min', difference: true }, '1.4 ± 0.1 °C per min'],
    [metric, null, '–'],
    [us, { value: 100, unit: 'kPa', uncertainty: 4 }, '14.5 ± 0.6 psi'],
    [us, { value: 82, unit: '°C', uncertainty: 1 }, '180 ± 2 °F'],
    [us, { value: 5, unit: '°C', uncertainty: null, difference: true }, '9 °F'],
    [us, { value: 12.65, unit: 'V', uncertainty: null }, '12.65 V'],
  ])('%#', (values, measure, text) => {
    expect(values.measure(measure)).toBe(text)
  })
})

describe('what passes', () => {
  test.each<[string, Parameters<Values['passRange']>[0], string]>([
    ['from', [limit('a.pass-from', 12.5, 'V'), limit('a.caution-from', 12.2, 'V')], '12.5 V or more'],
    ['to', [limit('a.pass-to', 5, 's')], 'at most 5 s'],
    ['from and to', [limit('a.pass-from', 13.5, 'V'), limit('a.pass-to', 14.8, 'V')], '13.5 to 14.8 V'],
    ['below', [limit('a.pass-below', 40, '%')], 'below 40 %'],
    ['none at all', [limit('a.none', 0, 'count')], 'none'],
    ['more than a figure', [limit('a.pass-from', 150, 'rpm'), limit('a.pass-from-in-frost', 100, 'rpm')], ''],
    ['nothing', [], ''],
  ])('%s', (_, limits, text) => {
    expect(metric.passRange(limits)).toBe(text)
  })

  it('is told in the units asked for', () => {
    expect(us.passRange([limit('a.pass-to', 5, '°C', { difference: true })])).toBe('at most 9 °F')
    expect(us.passRange([limit('a.pass-from', 69, 'kPa', { per: '1,000 rpm' })])).toBe('10 psi per 1,000 rpm or more')
  })
})

describe('sentences', () => {
  it('stay as they are in the units of the bus', () => {
    expect(metric.sentence('8 kPa at 20 °C.')).toBe('8 kPa at 20 °C.')
  })

  // Converted by hand: 100 kPa = 14.504 psi, 20 °C = 68 °F, 5 K = 9 °F, 80 km/h = 49.71 mph, 68.7 kg/h = 151.46 lb/h, 0.5 mm = 0.0197 in.
  test.each<[string, string]>([
    ['At 100 kPa and 20 °C.', 'At 100 kPa (14.5 psi) and 20 °C (68 °F).'],
    ['Coolant −40 °C, 5 °C above the oil.', 'Coolant −40 °C (−40 °F), 5 °C (9 °F) above the oil.'],
    ['All within 5 °C.', 'All within 5 °C (9 °F).'],
    ['Above 80 °C.', 'Above 80 °C (176 °F).'],
    ['Rose by 5 °C at 80 km/h.', 'Rose by 5 °C (9 °F) at 80 km/h (50 mph).'],
    ['Usual is 69 to 138 kPa.', 'Usual is 69 to 138 kPa (10 to 20 psi).'],
    ['Air 68.7 kg/h.', 'Air 68.7 kg/h (151.5 lb/h).'],
    ['12.6 V at 1,200 rpm, 0.5 mm, 3 min.', '12.6 V at 1,200 rpm, 0.5 mm (0.02 in), 3 min.'],
    ['SPN 100, 10 m/s² and 5 kPam.', 'SPN 100, 10 m/s² and 5 kPam.'],
  ])('%s', (text, shown) => {
    expect(us.sentence(text)).toBe(shown)
  })
})
