/** A page that is loaded when it is first shown, so that the first one comes sooner. */
import type { FunctionComponent } from 'preact'
import { useEffect, useState } from 'preact/hooks'
import { loadPart } from '../recording/contact.js'
import { text } from '../words/text.js'

/** Pages that have been loaded. */
const loaded = new Map<unknown, FunctionComponent<never>>()

interface LaterProps<Props> {
  /** The same function each time. */
  readonly load: () => Promise<FunctionComponent<Props>>
  readonly props: Props
}

/** The page, once it is there. */
export function Later<Props extends object>({ load, props }: LaterProps<Props>) {
  const [, setReady] = useState(0)
  const Page = loaded.get(load) as FunctionComponent<Props> | undefined
  useEffect(() => {
    if (loaded.has(load)) return
    loadPart(load).then(
      (page) => {
        loaded.set(load, page as FunctionComponent<never>)
        setReady((count) => count + 1)
      },
      (error: unknown) => reportError(error),
    )
  }, [load])
  if (Page !== undefined) return <Page {...props} />
  return (
    <main id="main" class="sheet" aria-busy="true">
      <h1 class="hidden">{text.opening.part}</h1>
    </main>
  )
}
