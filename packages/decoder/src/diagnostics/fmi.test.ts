import { expect, it } from 'vitest'
import { SOURCES } from '../catalog/sources.js'
import { FMIS, fmiDefinition } from './fmi.js'

it('has every number once, at its own index', () => {
  expect(FMIS.map(({ fmi }) => fmi)).toEqual(Array.from({ length: 32 }, (_, index) => index))
})

it.each(FMIS)('$fmi says it in short words and in a sentence, with its sources', ({ fmi, meaning, plain, sources }) => {
  expect(fmiDefinition(fmi)?.meaning).toBe(meaning)
  expect(meaning).toMatch(/^[a-z][^.]*$/)
  expect(plain).toMatch(/^[A-Z].*\.$/)
  expect(sources.map((id) => SOURCES[id]).every((title) => title.length > 10)).toBe(true)
})

it('tells high from low', () => {
  const high = [0, 3, 15, 16, 20].map((fmi) => fmiDefinition(fmi)?.plain)
  const low = [1, 4, 17, 18, 21].map((fmi) => fmiDefinition(fmi)?.plain)
  expect(high.every((plain) => /high/.test(plain ?? '') && !/\blow/.test(plain ?? ''))).toBe(true)
  expect(low.every((plain) => /\blow/.test(plain ?? '') && !/high/.test(plain ?? ''))).toBe(true)
})

it.each([-1, 32, 2.5])('has nothing for %d', (fmi) => {
  expect(fmiDefinition(fmi)).toBeUndefined()
})
