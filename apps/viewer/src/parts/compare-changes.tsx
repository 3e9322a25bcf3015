/** What else is different between two runs. */
import type { Change } from '@firstcrank/analysis'
import { useSentence } from '../state/sentence.js'
import { compareText } from '../words/compare-text.js'
import { SeeLink } from './compare-evidence.js'
import type { CompareSides } from './compare-model.js'

const words = compareText.changes

/** The part of the page. */
export function CompareChanges({
  changes,
  sides,
}: {
  readonly changes: readonly Change[]
  readonly sides: CompareSides
}) {
  const say = useSentence()
  return (
    <section aria-labelledby="changes-title">
      <h2 id="changes-title">{words.title}</h2>
      {changes.length === 0 && <p class="note">{words.none}</p>}
      <ul class="change-list">
        {changes.map((change) => (
          <li key={change.text}>
            <span class="change-kind">{words.kinds[change.kind]}</span>
            <span>
              {say(change.text)}{' '}
              {change.evidence.map((item) => (
                <SeeLink key={`${item.run}${item.from}${item.text}`} item={item} sides={sides} />
              ))}
            </span>
          </li>
        ))}
      </ul>
    </section>
  )
}
