/** Published source addresses, functions, vehicle systems and industry groups against the name tables. */

import {
  ADDRESS_SOURCES,
  addressName,
  confirmations,
  DYNAMIC_ADDRESSES,
  FUNCTION_SOURCES,
  functionName,
  GROUP_FUNCTION_SOURCES,
  HIGHWAY_ADDRESS_SOURCES,
  INDUSTRY_GROUP_SOURCES,
  INDUSTRY_GROUPS,
  SOURCES,
  type SourceId,
  VEHICLE_SYSTEM_SOURCES,
  vehicleSystemName,
} from '@firstcrank/decoder/catalog'
import { describe, expect, it } from 'vitest'

const LAB = 'University laboratory notebook on address claims (open teaching repository)'
const BODYWORK = "A truck maker's bodywork CAN interface manual (English and Swedish editions)"
const KERNEL = 'J1939 header of the Linux kernel'
const STANDARD = 'J1939 top level document, October 2007: rationale'
const ANNEX = "Contents page of the standard's digital annex, July 2019: titles of its tables"
const IO = 'I/O controller manuals'
const DISPLAY = 'Operator display manual'
const CAPTURE = 'Open CAN captures of heavy trucks (public dataset)'
const MEMORY = 'from memory'

/** The words of a name, however it is punctuated. */
const wordsOf = (text: string) => text.toLowerCase().match(/[a-z0-9]+/g) ?? []

/** Our name holds every word of the published one. */
function expectSameWords(ours: string | undefined, published: string) {
  expect(wordsOf(ours ?? '')).toEqual(expect.arrayContaining(wordsOf(published)))
}

const titlesOf = (ids: readonly string[]) => ids.map((id) => SOURCES[id as SourceId])

/** Ids of the lists that hold a code. */
function listsWith(lists: Readonly<Partial<Record<string, readonly number[]>>>, code: number): string[] {
  return Object.entries(lists).flatMap(([id, codes]) => (codes?.includes(code) ? [id] : []))
}

/** Address, name as published, sources. Where the last column is left out: the laboratory notebook alone. */
const ADDRESSES: [number, string, string[]?][] = [
  [0, 'Engine #1', [LAB, BODYWORK]],
  [1, 'Engine #2'],
  [2, 'Turbocharger'],
  [3, 'Transmission #1', [LAB, BODYWORK]],
  [4, 'Transmission #2'],
  [5, 'Shift console primary'],
  [6, 'Shift console secondary'],
  [7, 'PTO main or rear'],
  [8, 'Axle steering'],
  [9, 'Axle drive 1'],
  [10, 'Axle drive 2'],
  [11, 'Brakes system controller', [LAB, BODYWORK]],
  [12, 'Brakes steer axle'],
  [13, 'Brakes drive axle 1'],
  [14, 'Brakes drive axle 2'],
  [15, 'Retarder engine'],
  [16, 'Retarder driveline', [LAB, BODYWORK]],
  [17, 'Cruise control'],
  [18, 'Fuel system'],
  [19, 'Steering controller'],
  [20, 'Suspension steer axle'],
  [21, 'Suspension drive axle 1'],
  [22, 'Suspension drive axle 2'],
  [23, 'Instrument cluster 1', [LAB, BODYWORK]],
  [24, 'Trip recorder'],
  [25, 'Climate control 1'],
  [26, 'Alternator/charging'],
  [27, 'Aerodynamic control'],
  [28, 'Vehicle navigation'],
  [29, 'Vehicle security'],
  [30, 'Electrical system'],
  [31, 'Starter system'],
  [32, 'Tractor-trailer bridge 1'],
  [33, 'Body controller'],
  [34, 'Auxiliary or air system valve control'],
  [35, 'Hitch control'],
  [36, 'PTO front or secondary'],
  [37, 'Off vehicle gateway'],
  [38, 'Virtual terminal in cab'],
  [39, 'Management computer 1', [LAB, BODYWORK]],
  [40, 'Cab display 1'],
  [41, 'Retarder exhaust engine 1'],
  [42, 'Headway controller'],
  [43, 'On-board diagnostic unit'],
  [44, 'Retarder exhaust engine 2'],
  [45, 'Endurance braking'],
  [46, 'Hydraulic pump controller'],
  [47, 'Suspension system controller 1', [LAB, BODYWORK]],
  [48, 'Pneumatic system controller', [LAB, BODYWORK]],
  [49, 'Cab controller primary'],
  [50, 'Cab controller secondary'],
  [51, 'Tire pressure controller'],
  [52, 'Ignition control 1'],
  [53, 'Ignition control 2'],
  [54, 'Seat control 1'],
  [55, 'Lighting operator controls'],
  [56, 'Rear axle steering 1'],
  [57, 'Water pump controller'],
  [58, 'Climate control 2'],
  [59, 'Transmission display primary'],
  [60, 'Transmission display secondary'],
  [61, 'Exhaust emission controller'],
  [62, 'Dynamic stability controller'],
  [63, 'Oil sensor'],
  [64, 'Suspension system controller 2'],
  [65, 'Information system controller 1'],
  [66, 'Ramp control'],
  [67, 'Clutch/converter unit'],
  [68, 'Auxiliary heater 1'],
  [69, 'Auxiliary heater 2'],
  [70, 'Engine valve controller'],
  [71, 'Chassis controller 1'],
  [72, 'Chassis controller 2'],
  [73, 'Propulsion battery charger'],
  [74, 'Communications unit cellular'],
  [75, 'Communications unit satellite'],
  [76, 'Communications unit radio'],
  [77, 'Steering column unit'],
  [78, 'Fan drive controller'],
  [79, 'Seat control 2'],
  [80, 'Parking brake controller'],
  [81, 'Aftertreatment 1 gas intake'],
  [82, 'Aftertreatment 1 gas outlet'],
  [83, 'Safety restraint system'],
  [84, 'Cab display 2'],
  [85, 'DPF controller'],
  [86, 'Aftertreatment 2 gas intake'],
  [87, 'Aftertreatment 2 gas outlet'],
  [88, 'Safety restraint 2'],
  [89, 'Atmospheric sensor'],
  [90, 'Powertrain control module'],
  [91, 'Power systems manager'],
  [92, 'Engine injection control'],
  [93, 'Fire protection'],
  [94, 'Driver impairment device'],
  [248, 'File server / printer'],
  [249, 'Off-board diagnostic service tool 1', [LAB, STANDARD]],
  [250, 'Off-board diagnostic service tool 2', [LAB, STANDARD]],
  [251, 'On-board data logger', [LAB, IO]],
  [252, 'reserved for experimental use', [MEMORY]],
  [253, 'reserved for OEM', [MEMORY]],
  [254, 'null address', [LAB, KERNEL]],
  [255, 'global', [LAB, KERNEL]],
]

describe('source addresses', () => {
  it.each(ADDRESSES)('%i is %s', (sa, published, sources = [LAB]) => {
    expectSameWords(addressName(sa), published)
    const publications = sources.filter((source) => source !== MEMORY)
    expect(new Set(titlesOf(listsWith(ADDRESS_SOURCES, sa)))).toEqual(new Set(publications))
    expect(confirmations(ADDRESS_SOURCES, sa)).toBe(publications.length)
  })

  it(`128 to 247 are dynamic (${LAB}; ${IO})`, () => {
    expect(DYNAMIC_ADDRESSES).toEqual([128, 247])
    for (const sa of [128, 200, 247]) expectSameWords(addressName(sa), 'dynamic')
  })

  it(`238 is the tachograph on the highway (${BODYWORK})`, () => {
    expectSameWords(addressName(238, 1), 'tachograph')
    expect(titlesOf(listsWith(HIGHWAY_ADDRESS_SOURCES, 238))).toEqual([BODYWORK])
  })
})

describe('industry groups', () => {
  it.each([
    [0, 'global', [LAB, ANNEX, DISPLAY]],
    [1, 'on-highway equipment', [LAB, ANNEX]],
    [2, 'agricultural and forestry equipment', [LAB, ANNEX]],
    [3, 'construction equipment', [LAB, ANNEX]],
    [4, 'marine', [LAB, ANNEX]],
    [5, 'industrial, process control, stationary', [LAB, ANNEX]],
    [6, 'reserved', []],
    [7, 'not available', []],
  ])('%i is %s', (code, published, sources) => {
    expectSameWords(INDUSTRY_GROUPS[code], published)
    expect(titlesOf(listsWith(INDUSTRY_GROUP_SOURCES, code))).toEqual(sources)
  })
})

describe('functions', () => {
  it.each([
    [0, 'engine', LAB],
    [3, 'transmission', CAPTURE],
    [12, 'retarder, engine', CAPTURE],
    [28, 'off vehicle gateway', LAB],
    [60, 'cab display', DISPLAY],
    [66, 'I/O controller', IO],
  ])('%i is %s', (code, published, source) => {
    expectSameWords(functionName(code, 1, 0), published)
    expect(titlesOf(listsWith(FUNCTION_SOURCES, code))).toEqual([source])
  })

  it.each([
    [129, 'off-board service tool', LAB],
    [130, 'on-board data logger', IO],
  ])('%i of the global group is %s', (code, published, source) => {
    expectSameWords(functionName(code, 0, 0), published)
    expect(titlesOf(listsWith(GROUP_FUNCTION_SOURCES[0], code))).toEqual([source])
  })
})

describe('vehicle systems on the highway', () => {
  it.each([
    [0, 'non-specific'],
    [1, 'tractor'],
    [2, 'trailer'],
  ])('%i is %s', (code, published) => {
    expectSameWords(vehicleSystemName(code, 1), published)
    expect(titlesOf(listsWith(VEHICLE_SYSTEM_SOURCES[1], code))).toEqual([LAB])
  })
})
