/** Ticks of the checks by hand before a start, kept by this browser for each live source. */

/** Checks that are ticked, by their ids, and when each was; milliseconds of the wall clock. */
export type Ticks = Readonly<Record<string, number>>

/**
 * Hours after which a tick no longer holds: a working day. Another start on another day begins with
 * empty boxes, because levels, hoses and people may have changed. Source: common practice.
 */
export const TICK_HOURS = 12

/**
 * Minutes after which ticks may be from another start, of another vehicle perhaps: a source does not tell what
 * it is connected to. Source: our own choice.
 */
const EARLIER_MINUTES = 30

const KEY = 'firstcrank.before-start'
const LONGEST = TICK_HOURS * 3_600_000

/** Ticks that still hold; the same object where all do. One from a time to come was made by a wrong clock. */
export function freshTicks(ticks: Ticks, now: number): Ticks {
  const entries = Object.entries(ticks)
  const fresh = entries.filter(([, at]) => now - at >= 0 && now - at <= LONGEST)
  return fresh.length === entries.length ? ticks : Object.fromEntries(fresh)
}

/** What is ticked for a source and still holds. */
export function loadTicks(source: string, now: number): Ticks {
  return loadAll(now)[source] ?? {}
}

/** Keeps what is ticked for a source, and forgets what no longer holds for any. */
export function saveTicks(source: string, ticks: Ticks, now: number): void {
  const all = Object.entries({ ...loadAll(now), [source]: freshTicks(ticks, now) })
  try {
    const kept = all.filter(([, own]) => Object.keys(own).length > 0)
    localStorage.setItem(KEY, JSON.stringify(Object.fromEntries(kept)))
  } catch {
    // A browser that keeps nothing still shows what was ticked.
  }
}

/** When a tick was set last; null where none is. */
export function lastTick(ticks: Ticks): number | null {
  const times = Object.values(ticks)
  return times.length === 0 ? null : Math.max(...times)
}

/** Whether the last tick was set so long ago that another start may be meant by now. */
export function areEarlier(ticks: Ticks, now: number): boolean {
  const last = lastTick(ticks)
  return last !== null && now - last > EARLIER_MINUTES * 60_000
}

function loadAll(now: number): Readonly<Record<string, Ticks>> {
  let kept: unknown = null
  try {
    kept = JSON.parse(localStorage.getItem(KEY) ?? '{}')
  } catch {
    // Nothing kept, or nothing that can be read.
  }
  const sources = Object.entries(recordIn(kept))
  return Object.fromEntries(sources.map(([source, ticks]) => [source, freshTicks(timesIn(ticks), now)]))
}

/** What is no time is no tick. */
function timesIn(kept: unknown): Ticks {
  const times = Object.entries(recordIn(kept)).filter((entry): entry is [string, number] => Number.isFinite(entry[1]))
  return Object.fromEntries(times)
}

function recordIn(kept: unknown): Readonly<Record<string, unknown>> {
  return typeof kept === 'object' && kept !== null ? { ...kept } : {}
}
