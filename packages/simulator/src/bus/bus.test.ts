import { describe, expect, it } from 'vitest'
import { Random } from '../random.js'
import { Bus, type BusNode, type BusOptions } from './bus.js'
import { sendLong } from './transport.js'

const START = 1_700_000_000_000_000
const OPTIONS: BusOptions = { interface: 'can0', bitRate: 250_000, errorFrames: false, holes: [] }
const EIGHT = Uint8Array.of(1, 2, 3, 4, 5, 6, 7, 8)

/** A node that remembers what it hears. */
function node(alive = true): BusNode & { readonly heard: [number, string][]; alive: boolean } {
  const heard: [number, string][] = []
  return {
    alive,
    heard,
    receive: (id, payload) => {
      heard.push([
        id,
        Array.from(payload, (byte) => byte.toString(16).padStart(2, '0'))
          .join('')
          .toUpperCase(),
      ])
    },
  }
}

/** Times in µs since START, identifiers and data of what was written. */
function written(bus: Bus): [number, string, string][] {
  return bus.writer
    .take()
    .split('\n')
    .filter(Boolean)
    .map((line) => {
      const [, seconds, micros, id, data] = /^\((\d+)\.(\d{6})\) can0 ([0-9A-F]{8})#(.*)$/.exec(line) ?? []
      return [Number(seconds) * 1e6 + Number(micros) - START, id as string, data as string]
    })
}

function make(options: Partial<BusOptions> = {}): Bus {
  return new Bus({ ...OPTIONS, ...options }, new Random(1))
}

describe('arbitration', () => {
  it('lets the lower identifier go first when several wait, whoever came first otherwise', () => {
    const bus = make()
    const sender = node()
    bus.send(START, 0x18feee00, EIGHT, sender)
    bus.send(START + 10, 0x18fef700, EIGHT, sender)
    bus.send(START + 20, 0x0cf00400, EIGHT, sender)
    bus.send(START + 30, 0x18eaff21, EIGHT, sender)
    bus.advance(START + 10_000)
    expect(written(bus).map(([, id]) => id)).toEqual(['18FEEE00', '0CF00400', '18EAFF21', '18FEF700'])
  })

  it('gives each frame the time its bits take: 131 and some stuffing at 4 µs', () => {
    const bus = make()
    const sender = node()
    for (let i = 0; i < 50; i++) bus.send(START, 0x18fe0000 + i, EIGHT, sender)
    bus.advance(START + 100_000)
    const times = written(bus).map(([time]) => time)
    const apart = times.slice(1).map((time, i) => time - (times[i] as number))
    // Without stuff bits 524 µs, with the most there can be 640 µs; computed examples of real payloads: 560 to 600.
    expect(Math.min(...apart)).toBeGreaterThanOrEqual(556)
    expect(Math.max(...apart)).toBeLessThanOrEqual(600)
  })

  it('keeps what does not fit before the end of a step for the next', () => {
    const bus = make()
    const sender = node()
    for (let i = 0; i < 30; i++) bus.send(START, 0x18fe0000 + i, EIGHT, sender)
    bus.advance(START + 5_000)
    const first = written(bus)
    expect(first.length).toBeGreaterThan(5)
    expect(first.length).toBeLessThan(12)
    bus.advance(START + 50_000)
    expect(first.length + written(bus).length).toBe(30)
  })

  it('drops what a silent node wanted to send', () => {
    const bus = make()
    const sender = node(false)
    bus.send(START, 0x18feee00, EIGHT, sender)
    bus.advance(START + 10_000)
    expect(written(bus)).toEqual([])
  })
})

describe('hearing', () => {
  it('tells others about requests and claims, not the sender, and nobody about values', () => {
    const bus = make()
    const [sender, listener, asleep] = [node(), node(), node(false)]
    bus.nodes.push(sender, listener, asleep)
    bus.send(START, 0x18ea0021, Uint8Array.of(0xeb, 0xfe, 0), sender)
    bus.send(START + 2_000, 0x18feee00, EIGHT, sender)
    bus.advance(START + 10_000)
    expect(listener.heard).toEqual([[0x18ea0021, 'EBFE00']])
    expect(sender.heard).toEqual([])
    expect(asleep.heard).toEqual([])
    expect(bus.lastHeard[0x00]).toBeGreaterThan(START)
    expect(bus.lastHeard[0x05]).toBe(0)
  })
})

describe('what the recorder writes', () => {
  it('misses what happens in a hole, while the nodes do not', () => {
    const bus = make({ holes: [[START + 3_000, START + 6_000]] })
    const [sender, listener] = [node(), node()]
    bus.nodes.push(sender, listener)
    for (let i = 0; i < 10; i++) bus.send(START + i * 1000, 0x18eaff21, Uint8Array.of(i, 0xfe, 0), sender)
    bus.advance(START + 20_000)
    expect(listener.heard).toHaveLength(10)
    expect(written(bus).map(([, , data]) => data.slice(0, 2))).toEqual(['00', '01', '02', '06', '07', '08', '09'])
  })

  it('shows a broken wire as silence, and as error frames where they were asked for', () => {
    const lines = (errorFrames: boolean): string[] => {
      const bus = make({ errorFrames })
      const sender = node()
      for (let step = 0; step < 100; step++) {
        const time = START + step * 10_000
        bus.sound = step < 20 || step >= 60
        bus.send(time, 0x0cf00400, EIGHT, sender)
        bus.advance(time + 10_000)
      }
      return written(bus).map(([, id]) => id)
    }
    expect(lines(false)).toEqual(Array(60).fill('0CF00400'))
    const withErrors = lines(true)
    expect(withErrors.filter((id) => id === '0CF00400')).toHaveLength(60)
    expect(withErrors.filter((id) => id === '20000088').length).toBeGreaterThan(20)
    // Warning, passive, active again.
    expect(withErrors.filter((id) => id === '20000204')).toHaveLength(3)
    expect(withErrors[20]).toBe('20000088')
  })
})

describe('long messages', () => {
  it('goes to all as a keypad manual prints it: 18 bytes of four faults', () => {
    const bus = make()
    const payload = Uint8Array.of(
      ...[0x00, 0x00, 0x73, 0xf0, 0xe2, 0x03, 0x74, 0xf0, 0xe2, 0x07, 0x75, 0xf0, 0xe2, 0x03, 0x60, 0xf2, 0xe4, 0x03],
    )
    sendLong(bus, { sa: 0x80, sender: node(), da: 255 }, 65226, payload, START, new Random(3))
    bus.advance(START + 1e6)
    const frames = written(bus)
    expect(frames.map(([, id, data]) => `${id} ${data}`)).toEqual([
      '1CECFF80 20120003FFCAFE00',
      '1CEBFF80 01000073F0E20374',
      '1CEBFF80 02F0E20775F0E203',
      '1CEBFF80 0360F2E403FFFFFF',
    ])
    // Pauses measured on trucks: 42 to 58 ms.
    const pauses = frames.slice(1).map(([time], i) => (time - (frames[i] as [number, string, string])[0]) / 1000)
    expect(Math.min(...pauses)).toBeGreaterThan(42)
    expect(Math.max(...pauses)).toBeLessThan(58)
  })

  it('goes to one node by request and clearance: 20 bytes from 0 to 249, built from the published layout', () => {
    const bus = make()
    const [sender, receiver] = [node(), node()]
    const payload = Uint8Array.from({ length: 20 }, (_, i) => 0x41 + i)
    sendLong(bus, { sa: 0, sender, da: 249, receiver }, 65260, payload, START, new Random(3))
    bus.advance(START + 1e6)
    expect(written(bus).map(([, id, data]) => `${id} ${data}`)).toEqual([
      '1CECF900 10140003FFECFE00',
      '1CEC00F9 110301FFFFECFE00',
      '1CEBF900 0141424344454647',
      '1CEBF900 0248494A4B4C4D4E',
      '1CEBF900 034F5051525354FF',
      '1CEC00F9 13140003FFECFE00',
    ])
  })
})
