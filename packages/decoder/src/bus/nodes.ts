/**
 * Who is on the bus: address claims of SAE J1939-81, and which NAME held which address when.
 *
 * Of two NAMEs that claim one address the lower wins; the other must claim another address or say
 * that it cannot claim one, from the null address. Sources: an open CAN capture with such a contest,
 * and from memory.
 */
import { GLOBAL_ADDRESS, NULL_ADDRESS } from './identifier.js'
import type { Message } from './message.js'
import { decodeName, NAME_LENGTH, type Name } from './name.js'

/** Request for another group (Linux kernel's J1939 header). */
export const REQUEST_PGN = 59904
/** Address claimed, and cannot claim (same source). */
export const ADDRESS_CLAIMED_PGN = 60928
/** Commanded address: a NAME and the address it shall take (same source). */
export const COMMANDED_ADDRESS_PGN = 65240

/**
 * How long after a request, or after another NAME's claim, a claim counts as the answer to it, in
 * microseconds. An address is free to use after 250 ms without contest (Linux kernel's J1939
 * documentation); five times that for slow nodes: common practice.
 */
export const CLAIM_ANSWER_TIME = 1_250_000

/** What can happen to an address, by code. */
export const NODE_EVENTS = {
  claimed: 'A NAME claims an address for the first time in the recording, or after it had none.',
  'address-changed': 'A NAME that held another address claims this one.',
  reclaimed: 'A NAME claims the address it holds again, and nobody had asked: the node has probably restarted.',
  confirmed: 'A NAME claims the address it holds again after a request for claims.',
  defended: 'A NAME claims the address it holds again after another NAME claimed it.',
  contested: 'A NAME claims an address that another NAME holds; the lower NAME wins.',
  'taken-over': 'A higher NAME claimed an address, and the NAME that held it did not defend it: it has probably gone.',
  'cannot-claim': 'A NAME says that it holds no address.',
  commanded: 'A NAME is told to take an address.',
  malformed: 'A claim or a command with too few bytes, or for an address no node can hold.',
  'history-full': 'The limit of NAMEs kept is reached; what further NAMEs claim is not followed.',
} as const

export type NodeCode = keyof typeof NODE_EVENTS

/** One event of a node's life. */
export interface NodeEvent {
  readonly code: NodeCode
  readonly channel: number
  /** In microseconds. */
  readonly time: number
  /** The address it is about; of `cannot-claim` the one that was held, null if none was. */
  readonly address: number | null
  /** The NAME that acts, or is told to; null where none could be read. */
  readonly name: Name | null
  /** Of `contested` and `taken-over`, the NAME that holds the address; null if it has left. Else null. */
  readonly holder: Name | null
  /** Of `address-changed` and `taken-over`, the address the NAME held before. Else null. */
  readonly previous: number | null
  /** Whether claims had been asked for shortly before. */
  readonly asked: boolean
}

/** A stretch of time in which a NAME held an address. */
export interface Holding {
  readonly name: Name
  /** Time of the claim. */
  readonly from: number
  /** When the NAME lost or left the address; null while it holds it. */
  readonly until: number | null
}

/** One address on one channel. */
export interface NodeRecord {
  readonly channel: number
  readonly address: number
  /** Its first frame, claim or other traffic. */
  readonly firstTime: number
  /** In order of time; empty where no claim was seen. */
  readonly holdings: readonly Holding[]
}

/** How much is kept. */
export interface NodeLimits {
  /** NAMEs on one channel. */
  readonly maxNames: number
  /** Changes of holder at one address. */
  readonly maxHoldings: number
}

/** Far more than a vehicle has: 254 addresses, few changes. Common practice. */
const NODE_LIMITS: NodeLimits = { maxNames: 1024, maxHoldings: 1024 }

interface Node {
  readonly channel: number
  readonly address: number
  firstTime: number
  readonly holdings: { name: Name; from: number; until: number | null }[]
  /** When a claim was last asked for at this very address. */
  askedAt: number
  /** The lowest NAME above the holder's that has claimed this address, until the holder answers. */
  challenger: Name | null
  /** When the challenger first claimed it. */
  challengedAt: number
}

interface Channel {
  readonly nodes: Map<number, Node>
  /** The address each NAME holds; null where it has said that it holds none. */
  readonly addressOf: Map<bigint, number | null>
  /** When claims were last asked for from all. */
  askedAt: number
  full: boolean
}

/** Follows the address claims of a recording. */
export class Nodes {
  readonly #event: (event: NodeEvent) => void
  readonly #limits: NodeLimits
  readonly #channels: Map<number, Channel> = new Map()
  /** Those with a challenger. */
  readonly #challenged: Set<Node> = new Set()

  constructor(sink: { event(event: NodeEvent): void }, limits: Partial<NodeLimits> = {}) {
    this.#event = (event) => sink.event(event)
    this.#limits = { ...NODE_LIMITS, ...limits }
  }

  /** Registers a source address by its traffic. Once per address is enough. */
  seen(channel: number, sa: number, firstTime: number): void {
    if (sa >= NULL_ADDRESS) return
    const node = this.#node(channel, sa, firstTime)
    if (firstTime < node.firstTime) node.firstTime = firstTime
  }

  /** Decides contests whose time is over. Each claim does it too; call it at the recording's end. */
  tick(time: number): void {
    for (const node of this.#challenged) {
      if (time - node.challengedAt > CLAIM_ANSWER_TIME) this.#takeOver(node)
    }
  }

  /** Takes a request (PGN 59904). Only one that asks for claims matters here. */
  request(message: Message): void {
    const { channel, da, time, payload } = message
    if (payload.length < 3) return
    if (payload[0] + payload[1] * 256 + payload[2] * 65536 !== ADDRESS_CLAIMED_PGN) return
    if (da === GLOBAL_ADDRESS) this.#channel(channel).askedAt = time
    else if (da !== NULL_ADDRESS) this.#node(channel, da, time, false).askedAt = time
  }

  /** Takes an address claim or a cannot-claim (PGN 60928). */
  claim(message: Message): void {
    const { channel, sa, time, payload } = message
    this.tick(time)
    if (payload.length < NAME_LENGTH || sa === GLOBAL_ADDRESS) {
      this.#emit('malformed', channel, time, { address: sa === GLOBAL_ADDRESS ? null : sa })
      return
    }
    const name = decodeName(payload)
    const { nodes, addressOf } = this.#channel(channel)
    if (!addressOf.has(name.value) && addressOf.size >= this.#limits.maxNames) return this.#full(channel, time)
    for (const node of this.#challenged) {
      if (node.channel === channel && node.challenger?.value === name.value && node.address !== sa) this.#withdraw(node)
    }
    const held = addressOf.get(name.value) ?? null
    const node = held === null ? undefined : nodes.get(held)
    if (sa === NULL_ADDRESS) {
      this.#emit('cannot-claim', channel, time, { address: held, name })
      if (node !== undefined) this.#leave(node, time)
      addressOf.set(name.value, null)
    } else if (node !== undefined && held === sa) {
      this.#emit(this.#whyAgain(node, time), channel, time, { address: sa, name })
      this.#withdraw(node)
    } else {
      this.#take(channel, sa, time, name, held)
    }
  }

  /** Takes a commanded address (PGN 65240). The NAME holds the new address only once it claims it. */
  command(message: Message): void {
    const { channel, time, payload } = message
    const address = payload[NAME_LENGTH]
    if (payload.length <= NAME_LENGTH || address >= NULL_ADDRESS) {
      this.#emit('malformed', channel, time, { address: null })
      return
    }
    this.#emit('commanded', channel, time, { address, name: decodeName(payload) })
  }

  /** The NAME that held an address at a time; undefined where none was known to. */
  nameAt(channel: number, address: number, time: number): Name | undefined {
    const holdings = this.#channels.get(channel)?.nodes.get(address)?.holdings ?? []
    return holdings.findLast((h) => h.from <= time && (h.until === null || time < h.until))?.name
  }

  /** Every address seen, by channel and address. Addresses only asked, never heard, are not among them. */
  nodes(): NodeRecord[] {
    const records: NodeRecord[] = []
    for (const { nodes } of this.#channels.values()) {
      for (const { channel, address, firstTime, holdings } of nodes.values()) {
        if (!Number.isFinite(firstTime)) continue
        records.push({ channel, address, firstTime, holdings: holdings.map((holding) => ({ ...holding })) })
      }
    }
    return records.sort((a, b) => a.channel - b.channel || a.address - b.address)
  }

  /** A claim for an address the NAME does not hold, by a NAME that holds `held`. */
  #take(channel: number, address: number, time: number, name: Name, held: number | null): void {
    const node = this.#node(channel, address, time)
    if (node.holdings.length >= this.#limits.maxHoldings) return this.#full(channel, time)
    const holder = holderOf(node)
    if (holder !== null) {
      this.#emit('contested', channel, time, { address, name, holder })
      if (holder.value < name.value) return this.#challenge(node, name, time)
      this.#leave(node, time)
    }
    this.#withdraw(node)
    this.#emit(held === null ? 'claimed' : 'address-changed', channel, time, { address, name, previous: held })
    this.#hold(node, name, time)
  }

  #challenge(node: Node, name: Name, time: number): void {
    if (node.challenger !== null && node.challenger.value <= name.value) return
    node.challenger = name
    node.challengedAt = time
    this.#challenged.add(node)
  }

  /** The holder of a contested address kept silent: the challenger has had it since its claim. */
  #takeOver(node: Node): void {
    const { channel, address, challengedAt, challenger } = node
    this.#withdraw(node)
    if (challenger === null) return
    const previous = this.#channel(channel).addressOf.get(challenger.value) ?? null
    const holder = holderOf(node)
    const time = challengedAt + CLAIM_ANSWER_TIME
    this.#emit('taken-over', channel, time, { address, name: challenger, holder, previous })
    this.#leave(node, challengedAt)
    this.#hold(node, challenger, Math.max(challengedAt, node.holdings.at(-1)?.until ?? challengedAt))
  }

  /** A challenger is answered, or claims elsewhere. */
  #withdraw(node: Node): void {
    node.challenger = null
    this.#challenged.delete(node)
  }

  #hold(node: Node, name: Name, time: number): void {
    const { nodes, addressOf } = this.#channel(node.channel)
    const held = addressOf.get(name.value) ?? null
    const left = held === null ? undefined : nodes.get(held)
    if (left !== undefined) this.#leave(left, time)
    node.holdings.push({ name, from: time, until: null })
    addressOf.set(name.value, node.address)
  }

  /** The NAME at this address holds it no longer. */
  #leave(node: Node, time: number): void {
    const holding = node.holdings.at(-1)
    if (holding === undefined || holding.until !== null) return
    holding.until = time
    this.#channel(node.channel).addressOf.set(holding.name.value, null)
  }

  /** Why a NAME claims again what it holds. */
  #whyAgain(node: Node, time: number): NodeCode {
    if (node.challenger !== null) return 'defended'
    return this.#wasAsked(node.channel, node.address, time) ? 'confirmed' : 'reclaimed'
  }

  #wasAsked(channel: number, address: number | null, time: number): boolean {
    const { askedAt, nodes } = this.#channel(channel)
    const node = address === null ? undefined : nodes.get(address)
    return isRecent(askedAt, time) || (node !== undefined && isRecent(node.askedAt, time))
  }

  #full(channel: number, time: number): void {
    const state = this.#channel(channel)
    if (state.full) return
    state.full = true
    this.#emit('history-full', channel, time, { address: null })
  }

  #channel(channel: number): Channel {
    let state = this.#channels.get(channel)
    if (state === undefined) {
      state = { nodes: new Map(), addressOf: new Map(), askedAt: Number.NEGATIVE_INFINITY, full: false }
      this.#channels.set(channel, state)
    }
    return state
  }

  /** The record of an address; `heard` is false where it was only asked. */
  #node(channel: number, address: number, time: number, heard = true): Node {
    const { nodes } = this.#channel(channel)
    let node = nodes.get(address)
    if (node === undefined) {
      node = {
        channel,
        address,
        firstTime: Number.POSITIVE_INFINITY,
        holdings: [],
        askedAt: Number.NEGATIVE_INFINITY,
        challenger: null,
        challengedAt: Number.NEGATIVE_INFINITY,
      }
      nodes.set(address, node)
    }
    if (heard && node.firstTime === Number.POSITIVE_INFINITY) node.firstTime = time
    return node
  }

  #emit(
    code: NodeCode,
    channel: number,
    time: number,
    parts: { address: number | null; name?: Name; holder?: Name | null; previous?: number | null },
  ): void {
    const { address, name = null, holder = null, previous = null } = parts
    this.#event({
      code,
      channel,
      time,
      address,
      name,
      holder,
      previous,
      asked: this.#wasAsked(channel, address, time),
    })
  }
}

/** The NAME that holds an address now. */
function holderOf(node: Node): Name | null {
  const holding = node.holdings.at(-1)
  return holding !== undefined && holding.until === null ? holding.name : null
}

function isRecent(then: number, now: number): boolean {
  return now >= then && now - then <= CLAIM_ANSWER_TIME
}
