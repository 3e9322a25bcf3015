/**
 * What a dash gauge that listens on this bus would get: each figure from the address it expects, at
 * what rate, with a value or without; the lamps; whose faults it would show; and why it may show
 * nothing. Plain values only, so that it can go into a report as it is.
 */
import { FAULT_STATES, LAMPS, type LampKey, type LampStatus, type Recording, type Signal } from '@firstcrank/decoder'
import { addressName, findGroup, type Unit } from '@firstcrank/decoder/catalog'
import { type EngineView, findEngines, refOf } from './engine-view.js'
import {
  DISPLAY_ADDRESSES,
  DISPLAY_FUNCTIONS,
  FIRST_ENGINE,
  GAUGE_REASONS,
  type GaugeReasonId,
  SECOND_ENGINE,
  type Shown,
  SLOW_FACTOR,
  STALE_PERIODS,
  STALE_SECONDS,
  STEADY_SHARE,
  VITALS,
  type VitalDefinition,
} from './gauge-table.js'
import type { Evidence, SignalRef, Span } from './model.js'
import { periodOfStream } from './rhythm.js'
import { SECOND } from './series.js'

/** One figure of the dash. */
export interface GaugeVital {
  readonly id: string
  readonly title: string
  readonly spn: number
  readonly pgn: number
  /** `value` steadily, `partly`, `dashes` though the message comes, or why it does not come. */
  readonly shown: Shown
  /** Address it comes from; null where nobody sends it. */
  readonly sa: number | null
  /** Share of messages with a value, 0 to 1; null without messages. */
  readonly validShare: number | null
  /** Usual time between messages as measured and by the standard, in microseconds; null where there is none. */
  readonly period: number | null
  readonly standardPeriod: number | null
  readonly unit: Unit | null
  /** One sentence. */
  readonly text: string
  /** Times a gauge would have shown dashes for want of messages, the longest first. */
  readonly stale: readonly Span[]
  readonly signals: readonly SignalRef[]
}

/** A stretch in which one node lit a lamp. */
export interface GaugeLamp extends Span {
  readonly sa: number
  readonly lamp: LampKey
  readonly name: string
  readonly flashes: boolean
}

/** One node's faults, and whether a gauge set to the engine shows them. */
export interface GaugeFaults {
  readonly sa: number
  readonly title: string
  readonly count: number
  readonly shown: boolean
  readonly why: string
}

/** A display that transmits. A gauge that only listens cannot be seen. */
export interface GaugeDisplay {
  readonly sa: number
  readonly title: string
  readonly claimed: boolean
}

/** Why a gauge may show nothing or something odd, and what to do. */
export interface GaugeReason {
  readonly id: GaugeReasonId
  readonly text: string
  readonly advice: string
  readonly evidence: readonly Evidence[]
}

/** What a gauge would get of one engine. */
export interface GaugeView {
  readonly channel: string
  /** The address a gauge listens to for this engine. */
  readonly expects: number
  /** The address the engine uses; null where there is no engine. */
  readonly engine: number | null
  readonly vitals: readonly GaugeVital[]
  readonly lamps: readonly GaugeLamp[]
  readonly faults: readonly GaugeFaults[]
  readonly displays: readonly GaugeDisplay[]
  readonly reasons: readonly GaugeReason[]
}

/** The gauge view of every engine; of a bus without one, a single view that says so. */
export function gaugeViews(recording: Recording, engines: readonly EngineView[] = findEngines(recording)): GaugeView[] {
  if (engines.length > 0) return engines.map((engine) => gaugeView(recording, engine))
  return recording.channels.length === 0 ? [] : [gaugeView(recording, undefined)]
}

/** What a gauge set to one engine would get. */
export function gaugeView(recording: Recording, engine: EngineView | undefined): GaugeView {
  const channel = engine?.channel ?? recording.channels[0] ?? ''
  const expects = engine !== undefined && !engine.alone && engine.sa === SECOND_ENGINE ? SECOND_ENGINE : FIRST_ENGINE
  const vitals = VITALS.map((definition) => vitalOf(recording, channel, expects, definition))
  const found = { channel, expects, engine: engine?.sa ?? null, vitals }
  const lamps = lampsOf(recording, channel)
  const faults = faultsOf(recording, channel, engine?.sa ?? expects)
  const displays = displaysOf(recording, channel)
  return { ...found, lamps, faults, displays, reasons: reasonsOf(recording, engine, { ...found, faults, displays }) }
}

function vitalOf(recording: Recording, channel: string, expects: number, definition: VitalDefinition): GaugeVital {
  const { id, title, spn, pgn, from } = definition
  const signals = recording.signals({ spn, pgn, channel })
  const expected = signals.filter(({ stream }) => from === 'any' || stream.sa === expects)
  const best = [...expected].sort((a, b) => b.count - a.count)[0]
  const other = [...signals].sort((a, b) => b.count - a.count)[0]
  const signal = best ?? other
  const group = findGroup(pgn)
  const standardPeriod = typeof group?.period === 'number' ? group.period * 1000 : null
  const common = { id, title, spn, pgn, standardPeriod }
  if (signal === undefined) {
    const text = `Nobody sends ${title.toLowerCase()} (group ${pgn}).`
    return { ...common, ...ABSENT, shown: 'nothing', text }
  }
  const period = signal.count < 3 ? null : periodOfStream(signal.stream)
  const intervals = signal.statusIntervals()
  const valid = intervals.filter(({ status }) => status === 'valid').reduce((sum, { count }) => sum + count, 0)
  const errors = intervals.filter(({ status }) => status === 'error').reduce((sum, { count }) => sum + count, 0)
  const validShare = signal.count === 0 ? null : valid / signal.count
  const stale = staleSpans(recording, signal, period)
  const measured = {
    ...common,
    sa: signal.stream.sa,
    validShare,
    period,
    unit: signal.definition.kind === 'numeric' ? signal.definition.unit : null,
    stale,
    signals: [refOf(recording, signal)],
  }
  const onRequest = group?.period === 'on-request'
  const shown = shownAs(best, validShare ?? 0, onRequest)
  return {
    ...measured,
    shown,
    text: sentence(title, shown, { expects, sa: signal.stream.sa, errors, validShare, stale }),
  }
}

const ABSENT = { sa: null, validShare: null, period: null, unit: null, stale: [], signals: [] } as const

function shownAs(best: Signal | undefined, validShare: number, onRequest: boolean): Shown {
  if (best === undefined) return 'other-address'
  if (validShare === 0) return 'dashes'
  if (onRequest) return 'on-request'
  return validShare >= STEADY_SHARE ? 'value' : 'partly'
}

function sentence(
  title: string,
  shown: Shown,
  seen: { expects: number; sa: number; errors: number; validShare: number | null; stale: readonly Span[] },
): string {
  const { expects, sa, errors, validShare, stale } = seen
  const percent = Math.round((validShare ?? 0) * 100)
  const gaps =
    stale.length === 0 ? '' : ` Dashes ${stale.length === 1 ? 'once' : `${stale.length} times`} for want of messages.`
  switch (shown) {
    case 'value':
      return `${title} comes from address ${sa} with a value.${gaps}`
    case 'partly':
      return `${title} comes from address ${sa}; ${percent} % of the messages hold a value, the rest ${errors > 0 ? 'say "error"' : 'say "not available"'}.${gaps}`
    case 'dashes':
      return `The message comes from address ${sa} but says ${errors > 0 ? '"error"' : '"not available"'} in place of ${title.toLowerCase()}.`
    case 'other-address':
      return `${title} comes from address ${sa} only; a gauge listens to ${expects}.`
    case 'on-request':
      return `${title} comes from address ${sa} only when it is asked for.`
    case 'nothing':
      return `Nobody sends ${title.toLowerCase()}.`
  }
}

/** Silences of one message long enough for dashes, while its node went on sending others. */
function staleSpans(recording: Recording, { stream }: Signal, period: number | null): Span[] {
  if (period === null) return []
  const longest = Math.max(STALE_PERIODS * period, STALE_SECONDS * SECOND)
  const time = stream.times()
  const found: Span[] = []
  for (let i = 1; i < time.length; i++) {
    const from = time[i - 1] as number
    const to = time[i] as number
    if (to - from > longest && busGoesOn(recording, stream.channel, from + longest - period, to - period))
      found.push({ from, to })
  }
  return found.sort((a, b) => b.to - b.from - (a.to - a.from))
}

/** Whether the recorder heard anything of this channel inside a span: else the recorder or the key was off. */
function busGoesOn(recording: Recording, channel: number, from: number, to: number): boolean {
  return recording.streams.some((stream) => {
    if (stream.channel !== channel) return false
    const row = stream.rowAfter(from)
    return row < stream.count && stream.time(row) < to
  })
}

function lampsOf(recording: Recording, channel: string): GaugeLamp[] {
  return recording.lamps
    .filter((history) => history.source === 'DM1' && recording.channels[history.channel] === channel)
    .flatMap(({ sa, changes }) =>
      LAMPS.flatMap(({ key, name }) => {
        const spans: GaugeLamp[] = []
        changes.forEach(({ time, lamps }, index) => {
          if (lamps[key].state !== 'on') return
          const to = changes[index + 1]?.time ?? lastHeard(recording, channel, sa) ?? time
          const flashes = lamps[key].flash !== 'none'
          // Another lamp of the same message may change while this one stays as it is.
          const last = spans.at(-1)
          if (last?.to === time && last.flashes === flashes) spans[spans.length - 1] = { ...last, to }
          else spans.push({ sa, lamp: key, name, flashes, from: time, to })
        })
        return spans
      }),
    )
}

function lastHeard(recording: Recording, channel: string, sa: number): number | undefined {
  const times = recording.streams
    .filter((stream) => stream.sa === sa && recording.channels[stream.channel] === channel && stream.count > 0)
    .map((stream) => stream.time(stream.count - 1))
  return times.length === 0 ? undefined : Math.max(...times)
}

function faultsOf(recording: Recording, channel: string, engineSa: number): GaugeFaults[] {
  const counts = new Map<number, Set<string>>()
  for (const { channel: number, sa, source, spn, fmi } of recording.episodes) {
    if (recording.channels[number] !== channel || FAULT_STATES[source] !== 'active') continue
    const known = counts.get(sa) ?? new Set<string>()
    counts.set(sa, known.add(`${spn}/${fmi}`))
  }
  return [...counts]
    .sort(([a], [b]) => a - b)
    .map(([sa, faults]) => ({
      sa,
      title: addressName(sa) ?? `address ${sa}`,
      count: faults.size,
      shown: sa === engineSa,
      why: sa === engineSa ? 'The gauge listens to this address.' : 'The gauge listens to the engine only.',
    }))
}

function displaysOf(recording: Recording, channel: string): GaugeDisplay[] {
  const found = new Map<number, GaugeDisplay>()
  for (const event of recording.events) {
    if (event.kind !== 'node' || event.address === null || event.name === null) continue
    if (recording.channels[event.channel] !== channel || !DISPLAY_FUNCTIONS.has(event.name.function)) continue
    found.set(event.address, { sa: event.address, title: titleOf(event.address), claimed: true })
  }
  for (const { sa, channel: number, count } of recording.streams) {
    if (recording.channels[number] !== channel || count === 0 || found.has(sa) || !DISPLAY_ADDRESSES.has(sa)) continue
    found.set(sa, { sa, title: titleOf(sa), claimed: false })
  }
  return [...found.values()].sort((a, b) => a.sa - b.sa)
}

const titleOf = (sa: number): string => addressName(sa) ?? `address ${sa}`

type Gathered = Pick<GaugeView, 'channel' | 'expects' | 'engine' | 'vitals' | 'faults' | 'displays'>

function reasonsOf(recording: Recording, engine: EngineView | undefined, view: Gathered): GaugeReason[] {
  const { channel, expects, vitals, faults, displays } = view
  const reasons: GaugeReason[] = []
  const say = (id: GaugeReasonId, evidence: readonly Evidence[] = []): void => {
    reasons.push({ id, ...GAUGE_REASONS[id], evidence })
  }
  const about = (chosen: readonly GaugeVital[]): Evidence[] => chosen.map((vital) => evidenceOf(recording, vital))
  if (engine === undefined) say('no-engine')
  else if (engine.sa !== expects) say('other-address', about(vitals.filter(({ shown }) => shown === 'other-address')))
  for (const [id, codes] of CONFLICTS) {
    const events = recording.events.filter(
      (event) => event.kind === 'node' && recording.channels[event.channel] === channel && codes.has(event.code),
    )
    const concerned = id === 'address-shared' ? events : events.filter((event) => isDisplay(displays, event))
    if (concerned.length > 0)
      say(
        id,
        concerned.map((event) => conflictEvidence(event)),
      )
  }
  const some = (id: GaugeReasonId, chosen: readonly GaugeVital[]): void => {
    if (chosen.length > 0) say(id, about(chosen))
  }
  const sensorErrors = vitals.filter(({ text }) => text.includes('"error"'))
  some('sensor-error', sensorErrors)
  some(
    'not-fitted',
    vitals.filter((vital) => vital.shown === 'dashes' && !sensorErrors.includes(vital)),
  )
  some(
    'stale',
    vitals.filter(({ stale, shown }) => stale.length > 0 && shown !== 'on-request'),
  )
  some(
    'slow',
    vitals.filter(({ period, standardPeriod }) => isSlow(period, standardPeriod)),
  )
  some(
    'on-request',
    vitals.filter(({ shown }) => shown === 'on-request'),
  )
  if (engine !== undefined)
    some(
      'not-sent',
      vitals.filter(({ shown }) => shown === 'nothing'),
    )
  if (engine !== undefined && !engine.alone) say('several-engines')
  if (recording.channels.length > 1) say('several-channels')
  if (engine !== undefined) reasonsOfFaults(recording, engine, faults, say)
  return reasons
}

const CONFLICTS: readonly (readonly [GaugeReasonId, ReadonlySet<string>])[] = [
  ['address-shared', new Set(['contested', 'taken-over'])],
  ['gauge-lost-address', new Set(['cannot-claim'])],
]

function isSlow(period: number | null, standard: number | null): boolean {
  return period !== null && standard !== null && period > SLOW_FACTOR * standard
}

function isDisplay(displays: readonly GaugeDisplay[], event: Recording['events'][number]): boolean {
  if (event.kind !== 'node') return false
  const byFunction = event.name !== null && DISPLAY_FUNCTIONS.has(event.name.function)
  return byFunction || displays.some(({ sa }) => sa === event.address)
}

function reasonsOfFaults(
  recording: Recording,
  engine: EngineView,
  faults: readonly GaugeFaults[],
  say: (id: GaugeReasonId, evidence?: readonly Evidence[]) => void,
): void {
  const history = recording.lamps.find(
    ({ sa, channel, source }) => source === 'DM1' && sa === engine.sa && recording.channels[channel] === engine.channel,
  )
  if (history === undefined) say('no-dm1')
  const lists = recording.streams.filter(
    ({ pgn, sa, channel }) => pgn === DM1_PGN && sa === engine.sa && recording.channels[channel] === engine.channel,
  )
  if (lists.some(({ longest }) => longest > 8)) say('long-list')
  if (faults.some(({ shown }) => !shown)) say('other-node-faults')
  const isLit = (lamps: LampStatus): boolean => LAMPS.some(({ key }) => lamps[key].state === 'on')
  const listed = faults.some(({ sa }) => sa === engine.sa)
  const lit = history?.changes.find(({ lamps }) => isLit(lamps))
  if (lit !== undefined && !listed) {
    say('lamp-without-code', [
      { from: lit.time, to: lit.time, text: 'A lamp came on; no fault was listed.', signals: [] },
    ])
  }
}

/** DM1: active faults and lamps (SAE J1939-73, as the decoder has it). */
const DM1_PGN = 65226

function evidenceOf({ clock }: Recording, { text, signals, stale }: GaugeVital): Evidence {
  const [longest] = stale
  return { text, signals, from: longest?.from ?? clock.first ?? 0, to: longest?.to ?? clock.last ?? 0 }
}

function conflictEvidence(event: Recording['events'][number]): Evidence {
  const address = event.kind === 'node' ? event.address : null
  const text = address === null ? 'A node says that it holds no address.' : `Two NAMEs claim address ${address}.`
  return { from: event.time, to: event.time, text, signals: [] }
}
