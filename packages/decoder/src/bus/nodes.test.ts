import { describe, expect, it } from 'vitest'
import type { Message } from './message.js'
import { encodeName, type NameFields } from './name.js'
import {
  ADDRESS_CLAIMED_PGN,
  CLAIM_ANSWER_TIME,
  COMMANDED_ADDRESS_PGN,
  NODE_EVENTS,
  type NodeEvent,
  type NodeLimits,
  Nodes,
  REQUEST_PGN,
} from './nodes.js'

const MS = 1000
const SECOND = 1_000_000

const FIELDS: NameFields = {
  identityNumber: 0,
  manufacturerCode: 0,
  ecuInstance: 0,
  functionInstance: 0,
  function: 0,
  reserved: 0,
  vehicleSystem: 0,
  vehicleSystemInstance: 0,
  industryGroup: 0,
  arbitraryAddressCapable: false,
}

/** Bytes of a NAME; a lower number wins. */
const name = (identityNumber: number) => encodeName({ ...FIELDS, identityNumber })

function message(pgn: number, sa: number, da: number, time: number, payload: Iterable<number>, channel = 0): Message {
  return {
    channel,
    priority: 6,
    pgn,
    sa,
    da,
    firstTime: time,
    time,
    payload: Uint8Array.from(payload),
    transport: 'single',
  }
}

/** Nodes with the events that came, in short: code, address, identity, holder's identity, previous address. */
function table(limits: Partial<NodeLimits> = {}) {
  const events: NodeEvent[] = []
  const nodes = new Nodes({ event: (event) => events.push(event) }, limits)
  return {
    nodes,
    events,
    short: () => events.map((e) => [e.code, e.address, e.name?.identityNumber, e.holder?.identityNumber, e.previous]),
    codes: () => events.map(({ code }) => code),
    claim: (sa: number, identity: number, time: number, channel = 0) =>
      nodes.claim(message(ADDRESS_CLAIMED_PGN, sa, 255, time, name(identity), channel)),
    ask: (da: number, time: number, payload = [0x00, 0xee, 0x00]) =>
      nodes.request(message(REQUEST_PGN, 0xf9, da, time, payload)),
    command: (identity: number, address: number, time: number) =>
      nodes.command(message(COMMANDED_ADDRESS_PGN, 0xf9, 255, time, [...name(identity), address])),
    /** Identity and stretch of each holding at an address. */
    holdings: (address: number) =>
      nodes
        .nodes()
        .find((node) => node.address === address)
        ?.holdings.map(({ name, from, until }) => [name.identityNumber, from, until]),
  }
}

describe('claims', () => {
  it('registers who claims, and when', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(3, 30, 2 * SECOND)
    bus.claim(3, 31, 2 * SECOND, 1)
    expect(bus.short()).toEqual([
      ['claimed', 0, 10, undefined, null],
      ['claimed', 3, 30, undefined, null],
      ['claimed', 3, 31, undefined, null],
    ])
    expect(bus.nodes.nodes().map(({ channel, address, firstTime }) => [channel, address, firstTime])).toEqual([
      [0, 0, SECOND],
      [0, 3, 2 * SECOND],
      [1, 3, 2 * SECOND],
    ])
  })

  it('tells a restart from an answer', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 10, 10 * SECOND)
    bus.ask(255, 20 * SECOND)
    bus.claim(0, 10, 20 * SECOND + CLAIM_ANSWER_TIME)
    bus.ask(0, 30 * SECOND)
    bus.claim(0, 10, 30 * SECOND)
    bus.ask(0, 40 * SECOND)
    bus.claim(0, 10, 40 * SECOND + CLAIM_ANSWER_TIME + 1)
    expect(bus.codes()).toEqual(['claimed', 'reclaimed', 'confirmed', 'confirmed', 'reclaimed'])
    expect(bus.events.map(({ asked }) => asked)).toEqual([false, false, true, true, false])
  })

  it('takes only requests for claims as such, and to this node', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.ask(3, 2 * SECOND)
    bus.ask(0, 2 * SECOND, [0xeb, 0xfe, 0x00])
    bus.ask(0, 2 * SECOND, [0x00, 0xee])
    bus.claim(0, 10, 2 * SECOND)
    expect(bus.codes()).toEqual(['claimed', 'reclaimed'])
  })

  it('takes a request padded to eight bytes', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.ask(0, 2 * SECOND, [0x00, 0xee, 0x00, 0, 0, 0, 0, 0])
    bus.claim(0, 10, 2 * SECOND)
    expect(bus.codes()).toEqual(['claimed', 'confirmed'])
  })

  it('follows a NAME to another address', () => {
    const bus = table()
    bus.claim(128, 10, SECOND)
    bus.claim(129, 10, 5 * SECOND)
    expect(bus.short()).toEqual([
      ['claimed', 128, 10, undefined, null],
      ['address-changed', 129, 10, undefined, 128],
    ])
    expect(bus.holdings(128)).toEqual([[10, SECOND, 5 * SECOND]])
    expect(bus.holdings(129)).toEqual([[10, 5 * SECOND, null]])
  })

  it('lets a NAME go that cannot claim', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(254, 10, 2 * SECOND)
    bus.claim(254, 11, 3 * SECOND)
    bus.claim(0, 10, 4 * SECOND)
    expect(bus.short()).toEqual([
      ['claimed', 0, 10, undefined, null],
      ['cannot-claim', 0, 10, undefined, null],
      ['cannot-claim', null, 11, undefined, null],
      ['claimed', 0, 10, undefined, null],
    ])
    expect(bus.holdings(0)).toEqual([
      [10, SECOND, 2 * SECOND],
      [10, 4 * SECOND, null],
    ])
    expect(bus.nodes.nodes().map(({ address }) => address)).toEqual([0])
  })

  it('reports a command, which changes nothing until the NAME claims', () => {
    const bus = table()
    bus.claim(128, 10, SECOND)
    bus.command(10, 140, 2 * SECOND)
    expect(bus.holdings(128)).toEqual([[10, SECOND, null]])
    bus.claim(140, 10, 2 * SECOND + 5 * MS)
    expect(bus.short()).toEqual([
      ['claimed', 128, 10, undefined, null],
      ['commanded', 140, 10, undefined, null],
      ['address-changed', 140, 10, undefined, 128],
    ])
  })

  it('reports what cannot be read', () => {
    const bus = table()
    bus.nodes.claim(message(ADDRESS_CLAIMED_PGN, 3, 255, 1, name(10).subarray(1)))
    bus.nodes.claim(message(ADDRESS_CLAIMED_PGN, 255, 255, 2, name(10)))
    bus.nodes.command(message(COMMANDED_ADDRESS_PGN, 3, 255, 3, name(10)))
    bus.command(10, 254, 4)
    expect(bus.events.map(({ code, address, time }) => [code, address, time])).toEqual([
      ['malformed', 3, 1],
      ['malformed', null, 2],
      ['malformed', null, 3],
      ['malformed', null, 4],
    ])
    expect(bus.nodes.nodes()).toEqual([])
  })
})

describe('two NAMEs on one address', () => {
  it('gives it to the lower one at once', () => {
    const bus = table()
    bus.claim(0, 20, SECOND)
    bus.claim(0, 10, 2 * SECOND)
    bus.claim(254, 20, 2 * SECOND + MS)
    expect(bus.short()).toEqual([
      ['claimed', 0, 20, undefined, null],
      ['contested', 0, 10, 20, null],
      ['claimed', 0, 10, undefined, null],
      ['cannot-claim', null, 20, undefined, null],
    ])
    expect(bus.holdings(0)).toEqual([
      [20, SECOND, 2 * SECOND],
      [10, 2 * SECOND, null],
    ])
  })

  it('leaves it to the lower one that defends it', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 20, 2 * SECOND)
    bus.claim(0, 10, 2 * SECOND + MS)
    bus.claim(129, 20, 2 * SECOND + 2 * MS)
    bus.nodes.tick(100 * SECOND)
    expect(bus.short()).toEqual([
      ['claimed', 0, 10, undefined, null],
      ['contested', 0, 20, 10, null],
      ['defended', 0, 10, undefined, null],
      ['claimed', 129, 20, undefined, null],
    ])
    expect(bus.holdings(0)).toEqual([[10, SECOND, null]])
  })

  it('gives it to the higher one where the lower keeps silent: the controller was replaced', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 20, 60 * SECOND)
    bus.nodes.tick(60 * SECOND + CLAIM_ANSWER_TIME)
    expect(bus.codes()).toEqual(['claimed', 'contested'])
    bus.claim(3, 30, 70 * SECOND)
    expect(bus.short()).toEqual([
      ['claimed', 0, 10, undefined, null],
      ['contested', 0, 20, 10, null],
      ['taken-over', 0, 20, 10, null],
      ['claimed', 3, 30, undefined, null],
    ])
    expect(bus.events[2].time).toBe(60 * SECOND + CLAIM_ANSWER_TIME)
    expect(bus.holdings(0)).toEqual([
      [10, SECOND, 60 * SECOND],
      [20, 60 * SECOND, null],
    ])
    bus.claim(0, 20, 80 * SECOND)
    expect(bus.codes().at(-1)).toBe('reclaimed')
  })

  it('does not give it to one that has claimed another meanwhile', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 20, 2 * SECOND)
    bus.claim(129, 20, 2 * SECOND + MS)
    bus.nodes.tick(10 * SECOND)
    expect(bus.codes()).toEqual(['claimed', 'contested', 'claimed'])
    expect(bus.holdings(0)).toEqual([[10, SECOND, null]])
    expect(bus.holdings(129)).toEqual([[20, 2 * SECOND + MS, null]])
  })

  it('counts the time from the first claim of the challenger, and not backwards', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 20, 2 * SECOND)
    bus.claim(3, 30, 2 * SECOND - 90 * MS, 1)
    bus.claim(0, 20, 3 * SECOND)
    bus.nodes.tick(2 * SECOND + CLAIM_ANSWER_TIME + 1)
    expect(bus.codes()).toEqual(['claimed', 'contested', 'claimed', 'contested', 'taken-over'])
  })

  it('gives it to the lowest of several', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 30, 2 * SECOND)
    bus.claim(0, 20, 2 * SECOND + MS)
    bus.claim(0, 40, 2 * SECOND + 2 * MS)
    bus.nodes.tick(5 * SECOND)
    expect(bus.holdings(0)).toEqual([
      [10, SECOND, 2 * SECOND + MS],
      [20, 2 * SECOND + MS, null],
    ])
  })

  it('forgets the challenger when a lower one than the holder claims', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 20, 2 * SECOND)
    bus.claim(0, 5, 2 * SECOND + MS)
    bus.nodes.tick(5 * SECOND)
    expect(bus.codes()).toEqual(['claimed', 'contested', 'contested', 'claimed'])
    expect(bus.holdings(0)).toEqual([
      [10, SECOND, 2 * SECOND + MS],
      [5, 2 * SECOND + MS, null],
    ])
  })

  it('gives it to the challenger from when the holder leaves', () => {
    const bus = table()
    bus.claim(0, 10, SECOND)
    bus.claim(0, 20, 2 * SECOND)
    bus.claim(129, 10, 2 * SECOND + MS)
    bus.nodes.tick(5 * SECOND)
    expect(bus.short().slice(2)).toEqual([
      ['address-changed', 129, 10, undefined, 0],
      ['taken-over', 0, 20, undefined, null],
    ])
    expect(bus.holdings(0)).toEqual([
      [10, SECOND, 2 * SECOND + MS],
      [20, 2 * SECOND + MS, null],
    ])
  })

  it('keeps contests of other addresses and channels apart', () => {
    const bus = table()
    for (const channel of [0, 1]) {
      bus.claim(0, 10, SECOND, channel)
      bus.claim(1, 11, SECOND, channel)
    }
    bus.claim(0, 20, 2 * SECOND)
    bus.claim(0, 20, 2 * SECOND, 1)
    bus.claim(1, 21, 2 * SECOND)
    bus.claim(129, 20, 2 * SECOND + MS)
    bus.nodes.tick(10 * SECOND)
    const taken = bus.events.filter(({ code }) => code === 'taken-over')
    expect(taken.map(({ channel, address, name }) => [channel, address, name?.identityNumber])).toEqual([
      [1, 0, 20],
      [0, 1, 21],
    ])
  })

  it('says who held an address when', () => {
    const bus = table()
    bus.claim(0, 20, SECOND)
    bus.claim(0, 10, 2 * SECOND)
    const at = (time: number) => bus.nodes.nameAt(0, 0, time)?.identityNumber
    expect([SECOND - 1, SECOND, 2 * SECOND - 1, 2 * SECOND, 9 * SECOND].map(at)).toEqual([undefined, 20, 20, 10, 10])
    expect(bus.nodes.nameAt(0, 1, SECOND)).toBeUndefined()
    expect(bus.nodes.nameAt(1, 0, SECOND)).toBeUndefined()
  })
})

describe('nodes that never claim', () => {
  it('are known by their traffic', () => {
    const bus = table()
    bus.nodes.seen(0, 3, 5 * SECOND)
    bus.nodes.seen(0, 3, 4 * SECOND)
    bus.nodes.seen(0, 3, 6 * SECOND)
    bus.nodes.seen(0, 254, SECOND)
    bus.nodes.seen(0, 255, SECOND)
    expect(bus.nodes.nodes()).toEqual([{ channel: 0, address: 3, firstTime: 4 * SECOND, holdings: [] }])
    expect(bus.events).toEqual([])
  })

  it('are not those that were only asked', () => {
    const bus = table()
    bus.ask(17, SECOND)
    expect(bus.nodes.nodes()).toEqual([])
    bus.nodes.seen(0, 17, 2 * SECOND)
    expect(bus.nodes.nodes()).toMatchObject([{ address: 17, firstTime: 2 * SECOND }])
  })
})

describe('limits', () => {
  it('follows a number of NAMEs, and says once that there are more', () => {
    const bus = table({ maxNames: 2 })
    for (let i = 0; i < 5; i++) bus.claim(i, i, i)
    bus.claim(1, 1, 10)
    expect(bus.codes()).toEqual(['claimed', 'claimed', 'history-full', 'reclaimed'])
  })

  it('follows a number of changes at one address', () => {
    const bus = table({ maxHoldings: 2 })
    for (let i = 9; i > 4; i--) bus.claim(0, i, -i)
    expect(bus.codes()).toEqual(['claimed', 'contested', 'claimed', 'history-full'])
    expect(bus.holdings(0)).toHaveLength(2)
  })
})

it('has a line of meaning for each code that can come, and for no other', () => {
  const bus = table({ maxNames: 3 })
  bus.claim(0, 10, SECOND)
  bus.claim(0, 10, 2 * SECOND)
  bus.ask(0, 3 * SECOND)
  bus.claim(0, 10, 3 * SECOND)
  bus.claim(0, 20, 5 * SECOND)
  bus.claim(0, 10, 5 * SECOND)
  bus.claim(0, 20, 7 * SECOND)
  bus.nodes.tick(9 * SECOND)
  bus.command(20, 1, 10 * SECOND)
  bus.claim(1, 20, 10 * SECOND)
  bus.claim(254, 20, 11 * SECOND)
  bus.claim(255, 30, 12 * SECOND)
  bus.claim(2, 30, 13 * SECOND)
  bus.claim(3, 40, 14 * SECOND)
  expect(new Set(bus.codes())).toEqual(new Set(Object.keys(NODE_EVENTS)))
  for (const meaning of Object.values(NODE_EVENTS)) expect(meaning).toMatch(/^[A-Z].+\.$/)
})
