/**
 * Frames in the order of the log → messages put together, and everything that depends on order:
 * address claims, requests and answers, fault episodes, clear commands, nodes' own texts. Frames of all
 * other groups pass through in stretches, untouched.
 */
import { groupAt, pgnOf, sourceOf } from '../bus/identifier.js'
import type { Message } from '../bus/message.js'
import { ADDRESS_CLAIMED_PGN, COMMANDED_ADDRESS_PGN, Nodes, REQUEST_PGN } from '../bus/nodes.js'
import { ACKNOWLEDGEMENT_PGN, Requests } from '../bus/requests.js'
import { isTransportGroup, Transport } from '../bus/transport.js'
import type { TransportCode } from '../bus/transport-events.js'
import type { TransportLimits } from '../bus/transport-limits.js'
import { type DiagnosticMessage, type DiagnosticOptions, decodeDiagnostic } from '../diagnostics/decode.js'
import type { OldConversion } from '../diagnostics/dtc.js'
import { Episodes } from '../diagnostics/episodes.js'
import type { FaultList } from '../diagnostics/fault-list.js'
import { diagnosticGroup } from '../diagnostics/groups.js'
import type { SupportedSpn } from '../diagnostics/monitors.js'
import type { FrameBatch, FrameKeys } from '../log/frame-batch.js'
import { DiagnosticReports } from './diagnostic-reports.js'
import type { BusEvent } from './events.js'
import { Identifications } from './identifications.js'
import { singleFrame } from './single-frame.js'

/** Who takes what a {@link BusDecoder} finds. */
export interface BusSink {
  /** Rows `from` to `to` (not included) of a batch; every frame comes once, in order. */
  frames?(batch: FrameBatch, from: number, to: number): void
  /** A message of more than one frame; its payload is good only until this returns. */
  assembled?(message: Message): void
  event?(event: BusEvent): void
}

/** What somebody knows that the bus does not say, and how much is kept. */
export interface BusOptions {
  /**
   * How a node lays out SPNs in trouble codes whose conversion method bit is 1; the data cannot tell.
   * Nothing given: the likeliest reading first, and all readings kept.
   */
  readonly conversion?: (channel: number, sa: number) => OldConversion | undefined
  readonly transportLimits?: Partial<TransportLimits>
}

/** A frame key needs no more than passing on; else what it needs, as bits. */
const PLAIN = 0
const TRANSPORT = 1
const ORDERED = 2
const AWAITED = 4

/** Groups whose order across nodes matters, beside those of transport and diagnostics. */
const ORDERED_GROUPS: ReadonlySet<number> = new Set([
  ADDRESS_CLAIMED_PGN,
  COMMANDED_ADDRESS_PGN,
  REQUEST_PGN,
  ACKNOWLEDGEMENT_PGN,
])

/** Follows one bus, or several on numbered channels. Push batches in order, then finish. */
export class BusDecoder {
  readonly nodes: Nodes
  readonly requests: Requests = new Requests()
  readonly episodes: Episodes = new Episodes()
  readonly identifications: Identifications = new Identifications()
  readonly reports: DiagnosticReports = new DiagnosticReports()
  /** Messages of more than one frame that came whole, and transport events by code. */
  readonly transportCounts: { completed: number; readonly byCode: Map<TransportCode, number> } = {
    completed: 0,
    byCode: new Map(),
  }
  readonly #keys: FrameKeys
  readonly #sink: BusSink
  readonly #transport: Transport
  /** What is known of the nodes for reading their diagnostic messages; what they support as far as they have said. */
  readonly diagnostics: DiagnosticOptions
  /** What a key's frames need, by key. */
  readonly #needs: number[] = []
  readonly #keysOfGroup = new Map<number, number[]>()
  readonly #lastLists = new Map<number, { readonly payload: Uint8Array; readonly list: FaultList }>()
  readonly #supported = new Map<number, readonly SupportedSpn[]>()
  #lastTime = Number.NEGATIVE_INFINITY

  constructor(keys: FrameKeys, sink: BusSink, options: BusOptions = {}) {
    this.#keys = keys
    this.#sink = sink
    this.nodes = new Nodes({ event: (event) => sink.event?.({ kind: 'node', ...event }) })
    this.#transport = new Transport(
      {
        message: (message) => this.#takeAssembled(message),
        event: (event) => {
          this.transportCounts.byCode.set(event.code, (this.transportCounts.byCode.get(event.code) ?? 0) + 1)
          sink.event?.({ kind: 'transport', ...event })
        },
      },
      options.transportLimits,
    )
    this.diagnostics = {
      ...(options.conversion === undefined ? {} : { conversion: options.conversion }),
      supported: (channel, sa) => this.#supported.get(channel * 256 + sa),
    }
  }

  /** Takes the frames of a batch. */
  push(batch: FrameBatch): void {
    const { count, key, time } = batch
    const needs = this.#needs
    // Times can run backwards a little: the latest is not always the last, and where a batch ends is chance.
    let latest = this.#lastTime
    let from = 0
    for (let row = 0; row < count; row++) {
      const frameKey = key[row]
      if (time[row] > latest) latest = time[row]
      if (frameKey >= needs.length) this.#learnKeys(batch, row)
      if (needs[frameKey] === PLAIN) continue
      this.#sink.frames?.(batch, from, row + 1)
      from = row + 1
      this.#takeFrame(batch, row)
    }
    if (from < count) this.#sink.frames?.(batch, from, count)
    this.#lastTime = latest
  }

  /** The recording has ended: what is unfinished is reported. */
  finish(): void {
    this.#transport.tick(this.#lastTime)
    this.#transport.finish()
    this.requests.tick(this.#lastTime)
    this.nodes.tick(this.#lastTime)
    this.episodes.finish(this.#lastTime)
  }

  /** Keys are numbered in order of first appearance, so the frame that brings a new one is its first. */
  #learnKeys(batch: FrameBatch, row: number): void {
    while (this.#needs.length <= batch.key[row]) {
      const key = this.#needs.length
      const id = this.#keys.id[key]
      const pgn = pgnOf(id)
      const sameGroup = this.#keysOfGroup.get(pgn)
      if (sameGroup === undefined) this.#keysOfGroup.set(pgn, [key])
      else sameGroup.push(key)
      this.#needs.push(this.#needsOf(pgn))
      this.nodes.seen(this.#keys.channel[key], sourceOf(id), batch.time[row])
    }
  }

  #needsOf(pgn: number): number {
    const awaited = this.requests.watching(pgn) ? AWAITED : PLAIN
    if (isTransportGroup(pgn)) return TRANSPORT | awaited
    const ordered = ORDERED_GROUPS.has(pgn) || diagnosticGroup(pgn) !== undefined || Identifications.takes(pgn)
    return (ordered ? ORDERED : PLAIN) | awaited
  }

  #takeFrame(batch: FrameBatch, row: number): void {
    const key = batch.key[row]
    if ((this.#needs[key] & TRANSPORT) === 0) {
      this.#take(singleFrame(batch, row, this.#keys))
      return
    }
    const channel = this.#keys.channel[key]
    this.#transport.frame(channel, this.#keys.id[key], batch.time[row], batch.bytes, row * 8, batch.length[row])
  }

  #takeAssembled(message: Message): void {
    this.transportCounts.completed++
    this.#sink.assembled?.(message)
    this.#take(message)
  }

  /** A message whose order matters. */
  #take(message: Message): void {
    const { pgn } = message
    if (this.requests.watching(pgn)) this.#watch(pgn, () => this.requests.answer(message))
    switch (pgn) {
      case ADDRESS_CLAIMED_PGN:
        this.nodes.claim(message)
        return
      case COMMANDED_ADDRESS_PGN:
        this.nodes.command(message)
        return
      case REQUEST_PGN:
        this.#takeRequest(message)
        break
      case ACKNOWLEDGEMENT_PGN:
        this.#takeAcknowledgement(message)
        return
    }
    if (Identifications.takes(pgn)) this.identifications.take(message)
    else this.#takeDiagnostic(message)
  }

  #takeRequest(message: Message): void {
    this.nodes.request(message)
    const { payload } = message
    if (payload.length < 3) this.requests.request(message)
    else this.#watch(groupAt(payload, 0), () => this.requests.request(message))
  }

  #takeAcknowledgement(message: Message): void {
    const { payload } = message
    if (payload.length < 8) this.requests.acknowledge(message)
    else this.#watch(groupAt(payload, 5), () => this.requests.acknowledge(message))
  }

  /** Frames of a group must be looked at while somebody waits for it. */
  #watch(pgn: number, change: () => void): void {
    const before = this.requests.watching(pgn)
    change()
    if (this.requests.watching(pgn) === before) return
    for (const key of this.#keysOfGroup.get(pgn) ?? []) this.#needs[key] = this.#needsOf(pgn)
  }

  #takeDiagnostic(message: Message): void {
    const diagnostic = this.#decodeDiagnostic(message)
    if (diagnostic === undefined) return
    const { channel, time, sa, da } = message
    if (diagnostic.kind === 'fault-list') this.episodes.add(diagnostic, message)
    else if (diagnostic.kind === 'clear' || diagnostic.kind === 'individual-clear') {
      this.#sink.event?.({ kind: 'clear', channel, time, sa, da, command: diagnostic })
    } else {
      if (diagnostic.kind === 'spn-support') this.#supported.set(channel * 256 + sa, diagnostic.supported)
      this.reports.add(diagnostic, message)
    }
  }

  /** A node repeats its fault list every second; it is read anew only when its bytes have changed. */
  #decodeDiagnostic(message: Message): DiagnosticMessage | undefined {
    const { channel, sa, pgn, payload } = message
    const key = (channel * 0x40000 + pgn) * 256 + sa
    const last = this.#lastLists.get(key)
    if (last !== undefined && sameBytes(last.payload, payload)) return last.list
    const diagnostic = decodeDiagnostic(message, this.diagnostics)
    if (diagnostic?.kind === 'fault-list') this.#lastLists.set(key, { payload: payload.slice(), list: diagnostic })
    return diagnostic
  }
}

function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  if (a.length !== b.length) return false
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false
  return true
}
