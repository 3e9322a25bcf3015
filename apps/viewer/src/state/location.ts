/** The route of this window, kept in its address. */
import { useEffect, useState } from 'preact/hooks'
import { type BusState, type CompareState, formatRoute, parseRoute, type Route, type SheetState } from './route.js'

const listeners = new Set<(route: Route) => void>()
let current: Route = parseRoute(globalThis.location?.hash ?? '')

/** The route now. */
export function currentRoute(): Route {
  return current
}

/** Milliseconds a hand has to rest before the address follows: browsers allow few changes of it a second. */
const REST = 120
let resting: ReturnType<typeof setTimeout> | undefined

/** Goes somewhere. `replace` leaves no entry to go back to: for what changes while a hand moves. */
export function go(route: Route, how: 'push' | 'replace' = 'push'): void {
  if (how === 'push') {
    writeAddress()
    const address = formatRoute(route)
    if (address !== location.hash) history.pushState(null, '', address)
  } else {
    resting ??= setTimeout(writeAddress, REST)
  }
  current = route
  for (const listener of listeners) listener(route)
}

/** Puts into the address what has only been shown so far. */
function writeAddress(): void {
  if (resting === undefined) return
  clearTimeout(resting)
  resting = undefined
  history.replaceState(null, '', formatRoute(current))
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
      clearTimeout(resting)
      resting = undefined
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
