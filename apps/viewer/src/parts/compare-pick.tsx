/** Two runs chosen from a list to be compared. What is chosen lasts until the page is left. */
import { useEffect, useState } from 'preact/hooks'
import { go } from '../state/location.js'
import { compareRoute } from '../state/route.js'
import { text } from '../words/text.js'

const listeners = new Set<(chosen: readonly string[]) => void>()
let current: readonly string[] = []

function choose(next: readonly string[]): void {
  current = next
  for (const listener of listeners) listener(next)
}

function useChosen(): readonly string[] {
  const [chosen, setChosen] = useState(current)
  useEffect(() => {
    listeners.add(setChosen)
    return () => {
      listeners.delete(setChosen)
    }
  }, [])
  return chosen
}

/** The box of one run. A third one takes the place of the one chosen before. */
export function PickBox({ id, name }: { readonly id: string; readonly name: string }) {
  const chosen = useChosen()
  const toggle = (wanted: boolean): void =>
    choose(wanted ? [...chosen.slice(-1), id] : chosen.filter((other) => other !== id))
  return (
    <label class="pick-box">
      <input
        type="checkbox"
        aria-label={text.pick.pick(name)}
        checked={chosen.includes(id)}
        onChange={(event) => toggle(event.currentTarget.checked)}
      />
      <span aria-hidden="true">{text.pick.column}</span>
    </label>
  )
}

/** A run of the list, and when it was recorded; null where its log has no date. */
interface Listed {
  readonly key: string
  readonly from: number | null
}

/** What is chosen, and the way to the comparison: what was recorded earlier is the run before. */
export function PickBar({ runs }: { readonly runs: readonly Listed[] }) {
  const chosen = useChosen()
  useEffect(() => () => choose([]), [])
  // Lists have the latest first; that stands where the logs have no date.
  const listed = runs.filter(({ key }) => chosen.includes(key))
  const [after, before] = [...listed]
    .sort((a, b) => (a.from === null || b.from === null ? 0 : b.from - a.from))
    .map(({ key }) => key)
  return (
    <div class="pick-bar" role="status">
      {after !== undefined && before === undefined && <span>{text.pick.one}</span>}
      {after !== undefined && before !== undefined && (
        <button type="button" class="button" onClick={() => go(compareRoute(before, after))}>
          {text.pick.go}
        </button>
      )}
      {after !== undefined && (
        <button type="button" class="plain" onClick={() => choose([])}>
          {text.pick.clear}
        </button>
      )}
    </div>
  )
}
