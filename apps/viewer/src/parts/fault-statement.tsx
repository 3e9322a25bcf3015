/** What a comparison says of one fault; what was not driven again as a list. */
import type { FaultComparison } from '@firstcrank/analysis'
import { useSentence } from '../state/sentence.js'
import { compareText } from '../words/compare-text.js'
import { statementParts } from './compare-statement.js'

/** The statement of a fault. */
export function FaultStatement({ fault }: { readonly fault: FaultComparison }) {
  const { said, missed } = statementParts(fault)
  const say = useSentence()
  return (
    <div class="statement">
      <p>{say(said)}</p>
      {missed.length > 0 && (
        <>
          <p>{compareText.faults.again}</p>
          <ul class="bullets">
            {missed.map((condition) => (
              <li key={condition}>{say(condition)}</li>
            ))}
          </ul>
        </>
      )}
    </div>
  )
}
