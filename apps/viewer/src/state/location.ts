/** The route of this window, kept in its address. */
import { useEffect, useState } from 'preact/hooks'
import { type BusState, type CompareState, formatRoute, parseRoute, type Route, type SheetState } from './route.js'

const listeners = new Set<(route: Route) => void>()
let current: Route = parseRoute(globalThis.location?.hash ?? '')

/** The route now. */
export function currentRoute(): Route {
  return current
}

/** Goes somewhere. `replace` leaves no entry to go back to: for what changes while a hand moves. */
export function go(route: Route, how: 'push' | 'replace' = 'push'): void {
  current = route
  const address = formatRoute(route)
  if (address !== location.hash) history[how === 'push' ? 'pushState' : 'replaceState'](null, '', address)
  for (const listener of listeners) listener(route)
}

/** Changes a part of the sheet's state. */
export function changeSheet(change: Partial<SheetState>, how: 'push' | 'replace' = 'replace'): void {
  if (current.page === 'run') go({ ...current, view: 'sheet', sheet: { ...current.sheet, ...change } }, how)
}

/** Changes a part of the bus view's state. */
export function changeBus(change: Partial<BusState>, how: 'push' | 'replace' = 'replace'): void {
  if (current.page === 'run') go({ ...current, view: 'bus', bus: { ...current.bus, ...change } }, how)
}

/** Changes a part of what is looked at of two runs. */
export function changeCompare(change: Partial<CompareState>, how: 'push' | 'replace' = 'replace'): void {
  if (current.page === 'compare') go({ ...current, compare: { ...current.compare, ...change } }, how)
}

/** The route, told anew whenever it changes. */
export function useRoute(): Route {
  const [route, setRoute] = useState(current)
  useEffect(() => {
    const arrived = (): void => {
      current = parseRoute(location.hash)
      for (const listener of listeners) listener(current)
    }
    listeners.add(setRoute)
    addEventListener('popstate', arrived)
    addEventListener('hashchange', arrived)
    return () => {
      listeners.delete(setRoute)
      removeEventListener('popstate', arrived)
      removeEventListener('hashchange', arrived)
    }
  }, [])
  return route
}
