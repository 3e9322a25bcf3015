/** What a person makes sure of before the first crank. */
import { MANUAL_CHECKS } from '@firstcrank/analysis'
import { useState } from 'preact/hooks'
import { useSentence } from '../state/sentence.js'
import { text } from '../words/text.js'

const CHECKS = MANUAL_CHECKS.filter(({ stage }) => stage === 'before')

/** The list, folded; ticks last as long as the page is open. */
export function BeforeStart() {
  const [ticked, setTicked] = useState<ReadonlySet<string>>(new Set())
  const say = useSentence()
  const tick = (id: string, on: boolean): void =>
    setTicked(new Set(on ? [...ticked, id] : [...ticked].filter((other) => other !== id)))
  return (
    <details class="before">
      <summary>
        <h2>{text.live.before}</h2> <span class="faint">{text.card.ticked(ticked.size, CHECKS.length)}</span>
      </summary>
      <ul class="steps">
        {CHECKS.map(({ id, text: words }) => (
          <li key={id}>
            <label class="step" for={`before-${id}`}>
              <input
                type="checkbox"
                id={`before-${id}`}
                checked={ticked.has(id)}
                onChange={(event) => tick(id, event.currentTarget.checked)}
              />
              <span>{say(words)}</span>
            </label>
          </li>
        ))}
      </ul>
    </details>
  )
}
