/**
 * Messages longer than a frame, cut into packets with the pauses real nodes keep: announced to all
 * (BAM), or by request and clearance to send. Layouts: SAE J1939-21 as in the decoder's transport
 * layer; pauses: 42 to 58 ms between broadcast packets in open captures of trucks.
 */
import { formatIdentifier, GLOBAL_ADDRESS } from '@firstcrank/decoder'
import type { Random } from '../random.js'
import type { Bus, BusNode } from './bus.js'

const CONNECTION_MANAGEMENT = 60416
const DATA_TRANSFER = 60160
const BAM = 32
const REQUEST_TO_SEND = 16
const CLEAR_TO_SEND = 17
const END_OF_MESSAGE = 19
const PER_PACKET = 7
/** µs from announcement to first packet and from packet to packet, and how far off that may be. */
const PAUSE = 50_000
const PAUSE_SPREAD = 4_000

/** Who sends to whom. */
export interface Route {
  readonly sa: number
  readonly sender: BusNode
  /** Address and node that asked; the node is missing where everybody shall hear it. */
  readonly da: number
  readonly receiver?: BusNode
}

/**
 * Puts a long message on the bus.
 *
 * @returns µs at which its last packet is ready
 */
export function sendLong(bus: Bus, route: Route, pgn: number, payload: Uint8Array, at: number, random: Random): number {
  return route.receiver
    ? sendDirected(bus, route, route.receiver, pgn, payload, at, random)
    : broadcast(bus, route, pgn, payload, at, random)
}

function broadcast(bus: Bus, route: Route, pgn: number, payload: Uint8Array, at: number, random: Random): number {
  const packets = Math.ceil(payload.length / PER_PACKET)
  const id = (group: number): number => formatIdentifier({ priority: 7, pgn: group, sa: route.sa, da: GLOBAL_ADDRESS })
  bus.send(at, id(CONNECTION_MANAGEMENT), control([BAM, ...size(payload), packets, 0xff], pgn), route.sender)
  let time = at
  for (let number = 1; number <= packets; number++) {
    time += Math.round(PAUSE + random.between(-PAUSE_SPREAD, PAUSE_SPREAD))
    bus.send(time, id(DATA_TRANSFER), packet(payload, number), route.sender)
  }
  return time
}

function sendDirected(
  bus: Bus,
  route: Route,
  receiver: BusNode,
  pgn: number,
  payload: Uint8Array,
  at: number,
  random: Random,
): number {
  const packets = Math.ceil(payload.length / PER_PACKET)
  const there = (group: number): number => formatIdentifier({ priority: 7, pgn: group, sa: route.sa, da: route.da })
  const back = formatIdentifier({ priority: 7, pgn: CONNECTION_MANAGEMENT, sa: route.da, da: route.sa })
  const later = (low: number, high: number): number => Math.round(random.between(low, high))
  bus.send(
    at,
    there(CONNECTION_MANAGEMENT),
    control([REQUEST_TO_SEND, ...size(payload), packets, 0xff], pgn),
    route.sender,
  )
  let time = at + later(3_000, 9_000)
  bus.send(time, back, control([CLEAR_TO_SEND, packets, 1, 0xff, 0xff], pgn), receiver)
  time += later(4_000, 8_000)
  for (let number = 1; number <= packets; number++) {
    bus.send(time, there(DATA_TRANSFER), packet(payload, number), route.sender)
    time += later(5_000, 11_000)
  }
  bus.send(time, back, control([END_OF_MESSAGE, ...size(payload), packets, 0xff], pgn), receiver)
  return time
}

function size(payload: Uint8Array): [number, number] {
  return [payload.length & 0xff, payload.length >> 8]
}

/** Eight bytes of connection management: five of its own, then the group it is about. */
function control(bytes: readonly number[], pgn: number): Uint8Array {
  return Uint8Array.from([...bytes, pgn & 0xff, (pgn >> 8) & 0xff, pgn >> 16])
}

function packet(payload: Uint8Array, number: number): Uint8Array {
  const bytes = new Uint8Array(8).fill(0xff)
  bytes[0] = number
  bytes.set(payload.subarray((number - 1) * PER_PACKET, number * PER_PACKET), 1)
  return bytes
}
