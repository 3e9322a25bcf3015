/** Published NAMEs and the rules about them, each with its source, against the decoder. */
import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import type { Message } from '../../packages/decoder/src/bus/message.js'
import { decodeName, encodeName, type Name } from '../../packages/decoder/src/bus/name.js'
import {
  ADDRESS_CLAIMED_PGN,
  CLAIM_ANSWER_TIME,
  type NodeEvent,
  Nodes,
  REQUEST_PGN,
} from '../../packages/decoder/src/bus/nodes.js'

const LAB = 'University lab on address claims'
const CAPTURE = 'Open CAN capture of heavy trucks (public dataset)'
const ATTACKS = 'Open captures of attacks on a J1939 bus (public dataset)'
const KERNEL = 'Linux kernel: J1939 documentation and header'
const KERNEL_HEADER = '/usr/include/linux/can/j1939.h'

const bytes = (text: string) => Uint8Array.from(text.split(' '), (byte) => Number.parseInt(byte, 16))

/** Field, first and last bit. */
type NameField = Exclude<keyof Name, 'value'>
const FIELDS: readonly (readonly [NameField, first: number, last: number, inHeader: string])[] = [
  ['identityNumber', 0, 20, 'Identity Number'],
  ['manufacturerCode', 21, 31, 'Manufacturer Code'],
  ['ecuInstance', 32, 34, 'ECU Instance'],
  ['functionInstance', 35, 39, 'Function Instance'],
  ['function', 40, 47, 'Function'],
  ['reserved', 48, 48, 'Reserved'],
  ['vehicleSystem', 49, 55, 'Vehicle System'],
  ['vehicleSystemInstance', 56, 59, 'Vehicle System Instance'],
  ['industryGroup', 60, 62, 'Industry Group'],
  ['arbitraryAddressCapable', 63, 63, 'Arbitrary Address Capable'],
]

describe(`fields (${KERNEL}; ${LAB})`, () => {
  it.each(FIELDS)('%s is bits %i to %i', (field, first, last) => {
    // Ones in this field alone: any other field that took a bit of it would not be zero.
    const value = (1n << BigInt(last + 1)) - (1n << BigInt(first))
    const payload = new Uint8Array(8)
    new DataView(payload.buffer).setBigUint64(0, value, true)
    const expected: Record<string, number | boolean> = Object.fromEntries(FIELDS.map(([name]) => [name, 0]))
    expected['arbitraryAddressCapable'] = false
    expected[field] = field === 'arbitraryAddressCapable' ? true : 2 ** (last - first + 1) - 1
    expect(decodeName(payload)).toEqual({ ...expected, value })
  })

  it.for(FIELDS)('%s lies there in the kernel header too', ([, first, last, inHeader], context) => {
    context.skip(!existsSync(KERNEL_HEADER), 'no kernel header on this machine')
    const bits = first === last ? `${first}` : `${first}-${last}`
    expect(readFileSync(KERNEL_HEADER, 'utf8')).toMatch(new RegExp(`^ \\* bit ${bits}\\s*: ${inHeader}$`, 'm'))
  })
})

interface Example {
  readonly what: string
  readonly data: string
  readonly value: bigint
  /** Identity, manufacturer, ECU instance, function instance, function, reserved, system, system instance, industry. */
  readonly fields: readonly [number, number, number, number, number, number, number, number, number]
  readonly arbitrary: boolean
  readonly source: string
}

const EXAMPLES: readonly Example[] = [
  {
    what: 'engine 1; the source prints manufacturer 13, identity 2032390, industry group 1',
    data: '06 03 BF 01 00 00 00 10',
    value: 0x1000000001bf0306n,
    fields: [2032390, 13, 0, 0, 0, 0, 0, 0, 1],
    arbitrary: false,
    source: LAB,
  },
  {
    what: 'off-board service tool',
    data: '00 00 60 01 00 81 00 00',
    value: 0x0000810001600000n,
    fields: [0, 11, 0, 0, 129, 0, 0, 0, 0],
    arbitrary: false,
    source: `${LAB} (bytes; fields computed)`,
  },
  {
    what: 'transmission, with the reserved bit set',
    data: '64 00 40 00 00 03 03 10',
    value: 0x1003030000400064n,
    fields: [100, 2, 0, 0, 3, 1, 1, 0, 1],
    arbitrary: false,
    source: `${CAPTURE} (fields computed)`,
  },
  {
    what: 'engine',
    data: 'F4 B8 4E 01 00 00 00 00',
    value: 0x00000000014eb8f4n,
    fields: [964852, 10, 0, 0, 0, 0, 0, 0, 0],
    arbitrary: false,
    source: `${CAPTURE} (fields computed)`,
  },
  {
    what: 'exhaust retarder of the same controller: same identity, function 12',
    data: 'F4 B8 4E 01 00 0C 00 00',
    value: 0x00000c00014eb8f4n,
    fields: [964852, 10, 0, 0, 12, 0, 0, 0, 0],
    arbitrary: false,
    source: `${CAPTURE} (fields computed)`,
  },
  {
    what: 'all zero, which wins against every other',
    data: '00 00 00 00 00 00 00 00',
    value: 0n,
    fields: [0, 0, 0, 0, 0, 0, 0, 0, 0],
    arbitrary: false,
    source: ATTACKS,
  },
  {
    what: 'every kind of field; the source means instances 1 and 1, but its byte 5 says 4 and 1',
    data: '40 E2 01 FA 21 1C 04 91',
    value: 0x91041c21fa01e240n,
    fields: [123456, 2000, 1, 4, 28, 0, 2, 1, 1],
    arbitrary: true,
    source: `${LAB} (bytes; the field table of ${KERNEL} decides)`,
  },
]

describe('NAMEs', () => {
  it.each(EXAMPLES)('$data: $what ($source)', ({ data, value, fields, arbitrary }) => {
    const name = decodeName(bytes(data))
    const { arbitraryAddressCapable, value: whole, ...numbers } = name
    expect(Object.values(numbers)).toEqual(fields)
    expect(arbitraryAddressCapable).toBe(arbitrary)
    expect(whole).toBe(value)
    expect(encodeName(name)).toEqual(bytes(data))
  })
})

describe('claims', () => {
  const ENGINE = 'F4 B8 4E 01 00 00 00 00'
  const message = (pgn: number, sa: number, time: number, data: string): Message => ({
    channel: 0,
    priority: 6,
    pgn,
    sa,
    da: 255,
    firstTime: time,
    time,
    payload: bytes(data),
    transport: 'single',
  })

  function play(claims: readonly (readonly [sa: number, time: number, data: string])[]): NodeEvent[] {
    const events: NodeEvent[] = []
    const nodes = new Nodes({ event: (event) => events.push(event) })
    for (const [sa, time, data] of claims) nodes.claim(message(ADDRESS_CLAIMED_PGN, sa, time, data))
    return events
  }

  it(`the lower NAME wins; the other says from 254 that it cannot claim (${ATTACKS})`, () => {
    const events = play([
      [0, 1_000_000, ENGINE],
      [0, 2_000_000, '00 00 00 00 00 00 00 00'],
      [254, 2_001_000, ENGINE],
    ])
    expect(events.map(({ code, address, name, holder }) => [code, address, name?.value, holder?.value])).toEqual([
      ['claimed', 0, 0x014eb8f4n, undefined],
      ['contested', 0, 0n, 0x014eb8f4n],
      ['claimed', 0, 0n, undefined],
      ['cannot-claim', null, 0x014eb8f4n, undefined],
    ])
  })

  it(`a request to all for claims comes from the null address with 00 EE 00 (${CAPTURE})`, () => {
    const events: NodeEvent[] = []
    const nodes = new Nodes({ event: (event) => events.push(event) })
    nodes.request(message(REQUEST_PGN, 254, 1_000_000, '00 EE 00'))
    nodes.claim(message(ADDRESS_CLAIMED_PGN, 0, 1_002_000, ENGINE))
    expect(events).toMatchObject([{ code: 'claimed', asked: true }])
  })

  it(`an answer may take the 250 ms of an uncontested claim (${KERNEL})`, () => {
    expect(CLAIM_ANSWER_TIME).toBeGreaterThanOrEqual(250_000)
  })
})
