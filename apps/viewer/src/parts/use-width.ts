/** The width of an element, kept up to date. */
import type { RefObject } from 'preact'
import { useLayoutEffect, useRef, useState } from 'preact/hooks'

/** An element's reference and its width in pixels; 0 before it is on the page. */
export function useWidth(): readonly [RefObject<HTMLDivElement | null>, number] {
  const host = useRef<HTMLDivElement>(null)
  const [width, setWidth] = useState(0)
  useLayoutEffect(() => {
    const element = host.current
    if (element === null) return
    setWidth(element.clientWidth)
    const watcher = new ResizeObserver(() => setWidth(element.clientWidth))
    watcher.observe(element)
    return () => watcher.disconnect()
  }, [])
  return [host, width]
}
