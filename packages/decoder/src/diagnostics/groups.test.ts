import { expect, it } from 'vitest'
import { isDirectedGroup } from '../bus/identifier.js'
import { findGroup } from '../catalog/built-in.js'
import { FAULT_STATES } from './fault-list.js'
import { DIAGNOSTIC_GROUPS, diagnosticGroup, diagnosticGroupByNumber } from './groups.js'

it('has every diagnostic message once, in order, each with its own group', () => {
  expect(DIAGNOSTIC_GROUPS.map(({ dm }) => dm)).toEqual(Array.from({ length: 60 }, (_, index) => index + 1))
  expect(new Set(DIAGNOSTIC_GROUPS.map(({ pgn }) => pgn)).size).toBe(60)
})

it('has no destination address inside a group number', () => {
  const directed = DIAGNOSTIC_GROUPS.filter(({ pgn }) => isDirectedGroup(pgn))
  expect(directed.length).toBeGreaterThan(10)
  expect(directed.every(({ pgn }) => (pgn & 0xff) === 0)).toBe(true)
})

it('takes its names from the catalogue, in the order of the numbers', () => {
  expect(DIAGNOSTIC_GROUPS.map(({ definition }) => definition.acronym)).toEqual(
    DIAGNOSTIC_GROUPS.map(({ dm }) => `DM${dm}`),
  )
  for (const { pgn, definition } of DIAGNOSTIC_GROUPS) expect(findGroup(pgn)).toBe(definition)
})

it('reads as a fault list what has a state for its faults', () => {
  const lists = DIAGNOSTIC_GROUPS.filter(({ kind }) => kind === 'fault-list').map(({ dm }) => `DM${dm}`)
  expect(lists).toEqual(Object.keys(FAULT_STATES))
})

it('is found by group and by number', () => {
  expect(diagnosticGroup(65229)).toBe(diagnosticGroupByNumber(4))
  expect(diagnosticGroup(61444)).toBeUndefined()
  expect(diagnosticGroupByNumber(0)).toBeUndefined()
  expect(diagnosticGroupByNumber(61)).toBeUndefined()
})
