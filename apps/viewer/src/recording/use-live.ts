/** A live source: its vitals as they come, the last minute of them, its faults, and how old all that is. */
import type { ColumnEntry, FaultInfo, RecordingInfo, SignalInfo } from '@firstcrank/feed'
import { useEffect, useRef, useState } from 'preact/hooks'
import { holdFor } from '../state/hold.js'
import { feed } from './server.js'
import { bestSignal, refOf } from './signals.js'

/** What is followed: the first of its SPNs that the source sends. */
export interface VitalChoice {
  readonly id: string
  readonly spns: readonly number[]
}

/** One vital as it is now. */
export interface LiveVital {
  readonly signal: SignalInfo
  readonly period: number | null
  /** Microseconds of the bus; null before the first message. */
  readonly time: number | null
  /** Null where the last message holds no value. */
  readonly value: number | null
  /** Milliseconds of this page's clock when it came. */
  readonly came: number
  /** The last minute: seconds of the bus, and values. */
  readonly trend: { readonly x: readonly number[]; readonly y: readonly (number | null)[] }
}

/** Everything that is shown of a source. */
export interface LiveState {
  readonly state: 'waiting' | 'live' | 'lost' | 'ended'
  readonly detail: string
  readonly vitals: ReadonlyMap<string, LiveVital>
  readonly faults: readonly FaultInfo[]
  /** Milliseconds of this page's clock when anything came last; null before. */
  readonly came: number | null
  /** Frames that came at all, followed or not. */
  readonly frames: number
}

/** Microseconds of history, and columns of its picture. */
const SPAN = 60_000_000
const COLUMNS = 400
/** Milliseconds between looks for vitals that were not sent yet, and before there is any. */
const LOOK_AGAIN = 2_000
const LOOK_FIRST = 400

const NOTHING: LiveState = {
  state: 'waiting',
  detail: '',
  vitals: new Map(),
  faults: [],
  came: null,
  frames: 0,
}

/** Follows a live source. */
export function useLive(source: string | null, choices: readonly VitalChoice[]): LiveState {
  const [shown, setShown] = useState(NOTHING)
  useEffect(() => {
    setShown(NOTHING)
    if (source === null) return
    let gone = false
    let stop: () => void = () => undefined
    const start = async (): Promise<void> => {
      const client = await feed()
      if (gone) return
      stop = followVitals(client.source(`live:${source}`), choices, (state) => {
        if (!gone) setShown(state)
      })
    }
    start().catch((error: unknown) => setShown({ ...NOTHING, state: 'ended', detail: String(error) }))
    return () => {
      gone = true
      stop()
    }
  }, [source, choices])
  return shown
}

/** What was there when it was paused, until it goes on. */
export function usePaused(live: LiveState, paused: boolean): LiveState {
  const held = useRef(live)
  if (!paused) held.current = live
  return held.current
}

type LiveSource = ReturnType<Awaited<ReturnType<typeof feed>>['source']>

/** Asks what there is, follows it, and asks again until every vital has been found. */
function followVitals(
  source: LiveSource,
  choices: readonly VitalChoice[],
  show: (state: LiveState) => void,
): () => void {
  let state = NOTHING
  let followed = ''
  let follow: { stop(): void } | undefined
  let waiting = false
  let closed = false
  const change = (next: Partial<LiveState>): void => {
    state = { ...state, ...next }
    if (waiting) return
    waiting = true
    whenShown(() => {
      waiting = false
      if (!closed) show(state)
    })
  }
  const begin = (info: RecordingInfo): void => {
    const found = choices.flatMap(({ id, spns }) => {
      const signal = chosenSignal(info, spns, state.vitals.get(id))
      return signal === undefined ? [] : [{ id, signal, period: periodOf(info, signal) }]
    })
    const key = found.map(({ id, signal }) => `${id}/${signal.sa}/${signal.spn}`).join()
    if (found.length === 0 || key === followed) return
    followed = key
    follow?.stop()
    const empty = { x: [], y: [] }
    change({
      vitals: new Map(
        found.map(({ id, ...rest }) => [id, { ...rest, time: null, value: null, came: 0, trend: empty }]),
      ),
    })
    follow = source.follow(
      { signals: found.map(({ signal }) => refOf(signal)), span: SPAN, columns: COLUMNS },
      {
        columns: ({ reset, sent, arrived, entries }) => {
          // What the server kept for a moment, or has been holding since long ago, is as old as it says.
          const came = performance.now() - Math.max(0, sent - arrived) / 1_000
          const vitals = new Map(state.vitals)
          for (const entry of entries) {
            const id = found[entry.index]?.id
            const vital = id === undefined ? undefined : vitals.get(id)
            if (id !== undefined && vital !== undefined) vitals.set(id, taken(vital, entry, reset, came))
          }
          change({ vitals, came, state: 'live' })
        },
        events: (events) => {
          for (const event of events) {
            if (event.kind === 'fault') change({ faults: withFault(state.faults, event.fault) })
            if (event.kind === 'source') change({ detail: event.detail })
          }
        },
        restarted: () => {
          followed = ''
          change({ faults: [] })
        },
        connected: (connected) => change({ state: connected ? 'live' : 'lost' }),
        ended: (detail) => change({ state: 'ended', detail }),
      },
    )
  }
  const look = async (): Promise<void> => {
    while (!closed) {
      const info = await source.info()
      if (closed) return
      const { extended, standard } = info.counts
      change({
        faults: info.faults.reduce(withFault, state.faults),
        frames: extended + standard,
        vitals: new Map(
          [...state.vitals].map(([id, vital]) => [id, { ...vital, period: periodOf(info, vital.signal) }]),
        ),
      })
      begin(info)
      await new Promise((resolve) => setTimeout(resolve, state.came === null ? LOOK_FIRST : LOOK_AGAIN))
    }
  }
  look().catch((error: unknown) => {
    if (!closed) change({ state: 'ended', detail: error instanceof Error ? error.message : String(error) })
  })
  return () => {
    closed = true
    follow?.stop()
    source.close()
  }
}

/** Milliseconds after which no picture is waited for: nobody sees the page, but its alarm must sound. */
const UNSEEN = 250

/** Calls back with the next picture of the screen, so that what comes within one is shown together. */
function whenShown(call: () => void): void {
  const late = setTimeout(() => {
    cancelAnimationFrame(frame)
    call()
  }, UNSEEN)
  const frame = requestAnimationFrame(() => {
    clearTimeout(late)
    call()
  })
}

/** What is followed: the first that holds a value; where none does, the first that is sent. What once had one stays. */
function chosenSignal(
  info: RecordingInfo,
  spns: readonly number[],
  followed: LiveVital | undefined,
): SignalInfo | undefined {
  if (followed?.trend.y.some((value) => value !== null)) return followed.signal
  const sent = spns.flatMap((spn) => bestSignal(info.signals, spn) ?? [])
  return sent.find(({ valid }) => valid) ?? sent[0]
}

function periodOf(info: RecordingInfo, { channel, pgn, sa, da }: SignalInfo): number | null {
  const stream = info.streams.find(
    (candidate) => candidate.channel === channel && candidate.pgn === pgn && candidate.sa === sa && candidate.da === da,
  )
  return stream?.period ?? null
}

/** A vital after more of it came. */
function taken(
  vital: LiveVital,
  { columns, from, to, lastTime }: ColumnEntry,
  reset: boolean,
  came: number,
): LiveVital {
  const x = reset ? [] : [...vital.trend.x]
  const y = reset ? [] : [...vital.trend.y]
  const hold = holdFor(vital.period) / 1e6
  const push = (micros: number, value: number): void => {
    const seconds = micros / 1e6
    const before = x.at(-1)
    if (before !== undefined && seconds <= before) return
    if (before !== undefined && seconds - before > hold) {
      x.push((before + seconds) / 2)
      y.push(null)
    }
    x.push(seconds)
    y.push(Number.isNaN(value) ? null : value)
  }
  if (columns.form === 'samples')
    columns.time.forEach((time, row) => {
      push(time, columns.value[row] as number)
    })
  else {
    const width = (to - from) / columns.first.length
    columns.last.forEach((value, column) => {
      if (columns.count[column] !== 0) push(from + (column + 1) * width, value)
    })
  }
  const oldest = (x.at(-1) ?? 0) - SPAN / 1e6
  const first = x.findIndex((seconds) => seconds >= oldest)
  const trend = { x: x.slice(Math.max(0, first)), y: y.slice(Math.max(0, first)) }
  if (Number.isNaN(lastTime)) return { ...vital, trend }
  return { ...vital, time: lastTime, value: trend.y.at(-1) ?? null, came, trend }
}

/** Active faults after news of one. */
function withFault(faults: readonly FaultInfo[], news: FaultInfo): readonly FaultInfo[] {
  const others = faults.filter(
    ({ sa, spn, fmi, channel }) => sa !== news.sa || spn !== news.spn || fmi !== news.fmi || channel !== news.channel,
  )
  return news.state === 'active' && news.endedBy === null ? [...others, news] : others
}
