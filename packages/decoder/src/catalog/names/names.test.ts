import { describe, expect, it } from 'vitest'
import { SOURCES } from '../sources.js'
import {
  ACKNOWLEDGEMENTS,
  ADDRESS_SOURCES,
  acknowledgementOf,
  addressName,
  confirmations,
  FUNCTION_SOURCES,
  functionName,
  GLOBAL_ADDRESSES,
  GLOBAL_FUNCTIONS,
  GROUP_ADDRESSES,
  GROUP_FUNCTION_SOURCES,
  GROUP_FUNCTIONS,
  HIGHWAY_ADDRESS_SOURCES,
  INDUSTRY_GROUP_SOURCES,
  INDUSTRY_GROUPS,
  type SourceLists,
  sourcesOf,
  VEHICLE_SYSTEM_SOURCES,
  VEHICLE_SYSTEMS,
  vehicleSystemName,
} from './index.js'

const keysOf = (codes: object) => Object.keys(codes).map(Number)
const groupAddresses = Object.values(GROUP_ADDRESSES)
const groupFunctions = Object.values(GROUP_FUNCTIONS).flatMap((systems) => Object.values(systems))

/** All tables of codes, with the lowest and the highest code they may hold. */
const TABLES: [string, readonly object[], number, number][] = [
  ['industry groups', [INDUSTRY_GROUPS], 0, 7],
  ['vehicle systems', Object.values(VEHICLE_SYSTEMS), 0, 127],
  ['global functions', [GLOBAL_FUNCTIONS], 0, 127],
  ['functions of industry groups', groupFunctions, 128, 254],
  ['addresses of industry groups', groupAddresses, 128, 247],
]

describe('tables', () => {
  it.each(TABLES)('%s: codes in range, names in one style', (_, tables, lowest, highest) => {
    for (const table of tables) {
      const codes = keysOf(table)
      expect(codes.length).toBeGreaterThan(0)
      expect(codes.filter((code) => !(code >= lowest && code <= highest))).toEqual([])
      expect(
        Object.values(table).filter((name) => !/^[A-Z]([a-z]+|[A-Z/]+)([ ,-]+([a-z0-9]+|ECU))*$/.test(name)),
      ).toEqual([])
      expect(new Set(Object.values(table)).size).toBe(codes.length)
    }
  })

  it('industry groups are all there', () => {
    expect(keysOf(INDUSTRY_GROUPS)).toEqual([0, 1, 2, 3, 4, 5, 6, 7])
  })

  it('global addresses lie outside the dynamic range, and have names of their own', () => {
    const codes = keysOf(GLOBAL_ADDRESSES)
    expect(codes).toEqual([...Array(95).keys(), 248, 249, 250, 251, 252, 253, 254, 255])
    expect(new Set(Object.values(GLOBAL_ADDRESSES)).size).toBe(codes.length)
  })

  const SOURCED: [string, SourceLists, object][] = [
    ['addresses', ADDRESS_SOURCES, GLOBAL_ADDRESSES],
    ['on-highway addresses', HIGHWAY_ADDRESS_SOURCES, GROUP_ADDRESSES[1]],
    ['industry groups', INDUSTRY_GROUP_SOURCES, INDUSTRY_GROUPS],
    ['functions', FUNCTION_SOURCES, GLOBAL_FUNCTIONS],
    ['functions of group 0', GROUP_FUNCTION_SOURCES[0], GROUP_FUNCTIONS[0][0]],
    ['functions of group 3', GROUP_FUNCTION_SOURCES[3], GROUP_FUNCTIONS[3][0]],
    ['vehicle systems of group 1', VEHICLE_SYSTEM_SOURCES[1], VEHICLE_SYSTEMS[1]],
    ['vehicle systems of group 2', VEHICLE_SYSTEM_SOURCES[2], VEHICLE_SYSTEMS[2]],
  ]
  it.each(SOURCED)('sources of %s have a title and name codes of the table', (_, lists, table) => {
    const codes = new Set(keysOf(table))
    for (const [id, listed] of Object.entries(lists)) {
      expect(Object.keys(SOURCES)).toContain(id)
      expect(listed.filter((code) => !codes.has(code))).toEqual([])
      expect(new Set(listed).size).toBe(listed.length)
    }
  })
})

describe('addressName', () => {
  it.each([
    [0, undefined, 'Engine 1'],
    [0, 2, 'Engine 1'],
    [94, 1, 'Driver impairment device'],
    [95, 1, undefined],
    [127, undefined, undefined],
    [128, undefined, 'Dynamic address'],
    [168, 1, 'Trailer 5 bridge'],
    [200, 1, 'Trailer 1 bridge'],
    [202, 1, 'Trailer 1 brakes'],
    [202, 2, 'Dynamic address'],
    [207, 1, 'Trailer 1 other device 2'],
    [208, 1, 'Dynamic address'],
    [234, 5, 'Generator set controller'],
    [238, 1, 'Tachograph'],
    [238, undefined, 'Dynamic address'],
    [238, 4, 'Dynamic address'],
    [247, 2, 'Task controller'],
    [248, 2, 'File server or printer'],
    [254, undefined, 'Null address'],
    [255, undefined, 'Global'],
    [256, undefined, undefined],
  ])('%i in industry group %s: %s', (sa, industryGroup, name) => {
    expect(addressName(sa, industryGroup)).toBe(name)
  })
})

describe('functionName', () => {
  it.each([
    [0, 0, 0, 'Engine'],
    [0, 5, 99, 'Engine'],
    [79, 1, 0, 'Power systems manager'],
    [80, 1, 0, undefined],
    [127, 1, 0, 'Not available'],
    [129, 0, 0, 'Off-board diagnostic service tool'],
    [129, 1, 0, 'Door controller'],
    [129, 1, 1, 'Fifth wheel smart system'],
    [129, 1, 2, undefined],
    [129, 5, 0, 'Generator set controller'],
    [129, 6, 0, undefined],
    [255, 0, 0, undefined],
  ])('function %i, industry group %i, vehicle system %i: %s', (code, industryGroup, vehicleSystem, name) => {
    expect(functionName(code, industryGroup, vehicleSystem)).toBe(name)
  })
})

describe('vehicleSystemName', () => {
  it.each([
    [1, 1, 'Tractor'],
    [1, 3, 'Skid steer loader'],
    [50, 4, 'Propulsion'],
    [50, 1, undefined],
    [1, 7, undefined],
  ])('system %i of industry group %i: %s', (code, industryGroup, name) => {
    expect(vehicleSystemName(code, industryGroup)).toBe(name)
  })
})

describe('acknowledgements', () => {
  it('are the four that control bytes 0 to 3 stand for', () => {
    expect([0, 1, 2, 3, 4, 255].map(acknowledgementOf)).toEqual([
      'positive',
      'negative',
      'access-denied',
      'cannot-respond',
      undefined,
      undefined,
    ])
    expect(ACKNOWLEDGEMENTS.every(({ meaning }) => /^[A-Z].+: .+[^.]$/.test(meaning))).toBe(true)
  })
})

describe('sourcesOf and confirmations', () => {
  const lists: SourceLists = { 'claim-lab': [1, 2], 'io-manual': [2] }
  it.each([
    [1, ['claim-lab'], 1],
    [2, ['claim-lab', 'io-manual'], 2],
    [3, ['memory'], 0],
  ])('code %i: %j', (code, sources, confirmed) => {
    expect(sourcesOf(lists, code)).toEqual(sources)
    expect(confirmations(lists, code)).toBe(confirmed)
  })
})
