/** Values from the recording: columns of a window for the plots, and what signals are at the cursor. */
import type { ColumnEntry, MomentValue, SignalInfo } from '@firstcrank/feed'
import { useEffect, useRef, useState } from 'preact/hooks'
import type { Source } from '../recording/open.js'
import { refOf } from '../recording/signals.js'
import type { Window } from '../state/route.js'

/** Milliseconds the window must rest before new columns are asked for. */
const REST = 45
/** Share of the window that is asked for on each side beyond it, so that moving it has something to show. */
const MARGIN = 0.5

/** What is known of the signals in view. */
export interface WindowColumns {
  readonly entries: ReadonlyMap<string, ColumnEntry>
  readonly failed: string | null
}

/** A signal that is asked for, with its key. */
export interface Asked {
  readonly id: string
  readonly signal: SignalInfo
}

const NOTHING: WindowColumns = { entries: new Map(), failed: null }

/**
 * Columns of signals over a window.
 *
 * @param zero microseconds of the axis' zero
 * @param version changes when the recording has grown
 */
export function useWindow(
  source: Source | null,
  asked: readonly Asked[],
  window: Window,
  zero: number,
  width: number,
  version: string,
): WindowColumns {
  const [known, setKnown] = useState(NOTHING)
  const first = useRef(true)
  const key = asked.map(({ id }) => id).join()
  useEffect(() => {
    if (source === null || asked.length === 0 || width < 10) return
    let gone = false
    const span = window.to - window.from
    const query = {
      signals: asked.map(({ signal }) => refOf(signal)),
      from: Math.round(zero + (window.from - span * MARGIN) * 1e6),
      to: Math.round(zero + (window.to + span * MARGIN) * 1e6),
      columns: Math.max(1, Math.round(width * (1 + MARGIN * 2))),
    }
    const timer = setTimeout(
      () => {
        source.window(query).then(
          (entries) => {
            if (gone) return
            first.current = false
            setKnown({ entries: new Map(entries.map((entry) => [asked[entry.index]?.id ?? '', entry])), failed: null })
          },
          (error: unknown) => {
            if (!gone) setKnown({ ...NOTHING, failed: error instanceof Error ? error.message : String(error) })
          },
        )
      },
      first.current ? 0 : REST,
    )
    return () => {
      gone = true
      clearTimeout(timer)
    }
  }, [source, key, window.from, window.to, zero, width, version])
  return known
}

/** What signals are at a time; the newest question wins, and only one is under way. */
export function useMoment(
  source: Source | null,
  asked: readonly Asked[],
  zero: number,
  at: number | null,
): ReadonlyMap<string, MomentValue | null> {
  const [known, setKnown] = useState<ReadonlyMap<string, MomentValue | null>>(new Map())
  const wanted = useRef<number | null>(null)
  const busy = useRef(false)
  const key = asked.map(({ id }) => id).join()
  useEffect(() => {
    wanted.current = at
    if (at === null || source === null || asked.length === 0) {
      setKnown((before) => (before.size === 0 ? before : new Map()))
      return
    }
    let gone = false
    const ask = async (): Promise<void> => {
      busy.current = true
      try {
        let told: number | null = null
        while (!gone && wanted.current !== null && wanted.current !== told) {
          told = wanted.current
          const time = Math.round(zero + told * 1e6)
          const values = await source.moment({ signals: asked.map(({ signal }) => refOf(signal)), time })
          if (!gone) setKnown(new Map(asked.map(({ id }, index) => [id, values[index] ?? null])))
        }
      } catch {
        // The recording was closed meanwhile; another page is shown already.
      } finally {
        busy.current = false
      }
    }
    if (!busy.current) ask().catch(() => undefined)
    return () => {
      gone = true
      busy.current = false
    }
  }, [source, key, zero, at])
  return known
}
