import { describe, expect, it, test } from 'vitest'
import { BUS_CHECKS } from './bus-findings.js'
import { findCaution } from './cautions.js'
import { CHECKS } from './checks/index.js'
import { MANUAL_CHECKS, MANUAL_STAGES, manualChecks } from './manual-checks.js'

describe('the list of what the bus cannot show', () => {
  it('holds every row once, in the order of the work', () => {
    const ids = MANUAL_CHECKS.map(({ id }) => id)
    expect(new Set(ids).size).toBe(ids.length)
    const stages = Object.keys(MANUAL_STAGES)
    const order = MANUAL_CHECKS.map(({ stage }) => stages.indexOf(stage))
    expect(order).toEqual([...order].sort((a, b) => a - b))
    expect(new Set(order).size).toBe(stages.length)
  })

  // What a first start needs and no message says: levels, leaks, routing, torque, guards, and so on.
  test.each([
    ['oil level', /oil.*level/i],
    ['coolant', /coolant filled/i],
    ['fuel primed', /primed/i],
    ['leaks of fuel', /no fuel leak/i],
    ['leaks of oil and coolant', /no oil or coolant leak/i],
    ['routing of hoses', /hoses not crossed/i],
    ['routing of the harness', /harness clear of heat/i],
    ['torque', /torque/i],
    ['guards', /guards on/i],
    ['terminators', /60 Ω/],
    ['air-mass sensor', /arrow in the direction of flow/i],
    ['intake heater', /solenoid opens again/i],
    ['pedal', /pedal moves freely/i],
    ['mechanical oil gauge', /mechanical gauge/i],
    ['smoke', /smoke/i],
    ['noise', /knock/i],
    ['a way to stop', /way to stop the engine/i],
    ['legal status', /registration/i],
  ])('asks for %s', (_, words) => {
    expect(MANUAL_CHECKS.filter(({ text }) => words.test(text)).length).toBeGreaterThan(0)
  })

  test.each(MANUAL_CHECKS)(
    '$id is a sentence, and names only cautions and checks there are',
    ({ text, cautions, about }) => {
      expect(text).toMatch(/^\p{Lu}.*[.?]$/u)
      expect(cautions.filter((id) => findCaution(id) === undefined)).toEqual([])
      const known = new Set([...CHECKS, ...BUS_CHECKS].map(({ id }) => id))
      expect(about.filter((id) => !known.has(id))).toEqual([])
    },
  )

  it('says which open check makes a look the more needed', () => {
    const rows = manualChecks(new Set(['oil-pressure-rise']))
    expect(rows.find(({ id }) => id === 'oil-level')?.because).toEqual(['oil-pressure-rise'])
    expect(rows.find(({ id }) => id === 'torque')?.because).toEqual([])
    expect(rows).toHaveLength(MANUAL_CHECKS.length)
  })
})
