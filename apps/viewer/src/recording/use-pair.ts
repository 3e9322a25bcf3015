/** Two runs that are compared: what is known of each, and the comparison once there is one. */
import type { Comparison } from '@firstcrank/analysis'
import { useEffect, useState } from 'preact/hooks'
import { type OpenPair, openPair, SideError } from './open-pair.js'
import { failureOf, follow, noteRun, type OpenRun, opening } from './use-run.js'

/** What is known of both. */
export interface PairState {
  readonly before: OpenRun | null
  readonly after: OpenRun | null
  readonly comparison: Comparison | null
  /** Why they could not be compared, though both could be read. */
  readonly failure: OpenRun['failure']
}

const NOTHING: PairState = { before: null, after: null, comparison: null, failure: null }
type Side = 'before' | 'after'

/** Opens and compares two runs; nothing is opened where one is missing or both are the same. */
export function usePair(before: string | null, after: string | null, vouched: boolean): PairState {
  const [state, setState] = useState(NOTHING)
  const [pair, setPair] = useState<OpenPair | null>(null)
  useEffect(() => {
    setState(NOTHING)
    setPair(null)
    if (before === null || after === null || before === after) return
    const left = new AbortController()
    let opened: OpenPair | undefined
    const runs = { before: opening(before), after: opening(after) }
    const show = (side: Side, change: Partial<OpenRun>): void => {
      if (left.signal.aborted) return
      const run = { ...runs[side], ...change }
      runs[side] = run
      setState((known) => ({ ...known, [side]: run }))
    }
    const run = async (): Promise<void> => {
      const found = await openPair(before, after, left.signal)
      if (left.signal.aborted) return found.close()
      opened = found
      const sides = (['before', 'after'] as const).map(async (side) => {
        const { source, name } = found[side]
        show(side, { source, name, state: 'reading' })
        try {
          await follow(
            source,
            (change) => show(side, change),
            () => left.signal.aborted,
          )
        } catch (error) {
          show(side, { state: 'failed', failure: failureOf(error) })
        }
        // A list that lacks a verdict is no reason not to compare.
        if (!left.signal.aborted) await noteRun(runs[side]).catch(() => undefined)
        return runs[side].failure === null
      })
      const read = await Promise.all(sides)
      if (!left.signal.aborted && read.every(Boolean)) setPair(found)
    }
    show('before', {})
    show('after', {})
    run().catch((error: unknown) => {
      if (error instanceof SideError) show(error.side, { state: 'failed', failure: failureOf(error.why) })
      else if (!left.signal.aborted) setState((known) => ({ ...known, failure: failureOf(error) }))
    })
    return () => {
      left.abort()
      opened?.close()
    }
  }, [before, after])
  useEffect(() => {
    if (pair === null) return
    const left = new AbortController()
    pair.compare(vouched, left.signal).then(
      (comparison) => !left.signal.aborted && setState((known) => ({ ...known, comparison, failure: null })),
      (error: unknown) => !left.signal.aborted && setState((known) => ({ ...known, failure: failureOf(error) })),
    )
    return () => {
      left.abort()
    }
  }, [pair, vouched])
  return state
}
