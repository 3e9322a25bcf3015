/** Statements with a link to the place in the run where each can be seen. */
import type { RunEvidence } from '@firstcrank/analysis'
import { useSentence } from '../state/sentence.js'
import { compareText } from '../words/compare-text.js'
import { type CompareSides, evidenceHref, timeIn } from './compare-model.js'

/** A link to one place. */
export function SeeLink({ item, sides }: { readonly item: RunEvidence; readonly sides: CompareSides }) {
  const side = sides[item.run]
  const at = timeIn(side, item.from)
  const say = useSentence()
  return (
    <a
      class="see-link"
      href={evidenceHref(side, item)}
      aria-label={compareText.seeLabel(compareText.sides[item.run], at, say(item.text))}
    >
      {compareText.see(compareText.sides[item.run], at)}
    </a>
  )
}

/** The statements, each with its link. */
export function SeeList({
  evidence,
  sides,
}: {
  readonly evidence: readonly RunEvidence[]
  readonly sides: CompareSides
}) {
  const say = useSentence()
  return (
    <ul class="see-list">
      {evidence.map((item) => (
        <li key={`${item.run}${item.from}${item.text}`}>
          {say(item.text)} <SeeLink item={item} sides={sides} />
        </li>
      ))}
    </ul>
  )
}
