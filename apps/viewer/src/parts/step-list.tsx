/** Things to do, in order, each with a box to tick and with what must be known before. */
import type { Caution, Step } from '@firstcrank/analysis'
import { useSentence } from '../state/sentence.js'
import { text } from '../words/text.js'

interface StepListProps {
  readonly steps: readonly Step[]
  readonly cautions: readonly Caution[]
  /** Makes the boxes' names unique on the page. */
  readonly id: string
}

/** The list. Boxes are for the person at the engine; nothing is stored. */
export function StepList({ steps, cautions, id }: StepListProps) {
  const say = useSentence()
  return (
    <ol class="steps">
      {steps.map((step, index) => {
        const key = text.sheet.key[step.key]
        return (
          <li key={step.text}>
            <label class="step" for={`${id}-${index}`}>
              <input type="checkbox" id={`${id}-${index}`} />
              <span>
                {key !== '' && <strong class="step-key">{key}</strong>} {say(step.text)}
                {step.tool !== null && <span class="faint"> ({text.sheet.tool(step.tool)})</span>}
              </span>
            </label>
            <Cautions ids={step.cautions} cautions={cautions} />
          </li>
        )
      })}
    </ol>
  )
}

/** Cautions by their names, in full. */
export function Cautions({
  ids,
  cautions,
}: {
  readonly ids: readonly string[]
  readonly cautions: readonly Caution[]
}) {
  const say = useSentence()
  const known = cautions.filter(({ id }) => ids.includes(id))
  if (known.length === 0) return null
  return (
    <ul class="cautions">
      {known.map(({ id, level, text: words }) => (
        <li key={id} class={`caution caution-${level}`}>
          <span class="caution-mark" aria-hidden="true">
            {level === 'note' ? 'i' : '!'}
          </span>
          {say(words)}
        </li>
      ))}
    </ul>
  )
}
