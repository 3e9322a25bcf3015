/** A server that is started anew names its live sources anew: which of them goes on with the one that was watched. */
import type { SourceInfo } from '@firstcrank/feed'
import { useEffect, useRef } from 'preact/hooks'
import { go } from '../state/location.js'

/** What is remembered of the source that is watched. */
export interface Watched {
  readonly id: string
  readonly title: string
}

/** The source that is watched, as the list has it; null where it is not in it, or a replay, which nothing follows. */
export function watchedIn(sources: readonly SourceInfo[], source: string): Watched | null {
  const found = sources.find(({ id }) => id === source)
  return found === undefined || found.replay !== null ? null : { id: found.id, title: found.title }
}

/** The one source of the same title, where the one that was watched is there no longer; null where it cannot be told. */
export function successorOf(sources: readonly SourceInfo[], watched: Watched): string | null {
  if (sources.some(({ id }) => id === watched.id)) return null
  const same = sources.filter(
    ({ title, replay, state }) => replay === null && state !== 'ended' && title === watched.title,
  )
  return same.length === 1 ? (same[0]?.id ?? null) : null
}

/** Goes on with the successor of the source that is watched, so that nobody watches what has ended. */
export function useSuccessor(sources: readonly SourceInfo[], source: string | null): void {
  const watched = useRef<Watched | null>(null)
  useEffect(() => {
    if (watched.current?.id !== source) watched.current = null
    if (source === null) return
    watched.current = watchedIn(sources, source) ?? watched.current
    const next = watched.current === null ? null : successorOf(sources, watched.current)
    if (next !== null) go({ page: 'live', source: next }, 'replace')
  }, [sources, source])
}
