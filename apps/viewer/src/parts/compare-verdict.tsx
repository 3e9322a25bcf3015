/** The plain statement: how far the repair is proved, whether it is one vehicle, whether faults were cleared. */
import type { Comparison, VehicleComparison } from '@firstcrank/analysis'
import { changeCompare } from '../state/location.js'
import { useSentence } from '../state/sentence.js'
import { compareText } from '../words/compare-text.js'
import { addressText } from '../words/labels.js'
import { SeeList } from './compare-evidence.js'
import { GradeStamp, worstGrade } from './compare-grade.js'
import type { CompareSides } from './compare-model.js'
import { FaultStatement } from './fault-statement.js'
import { ScrollBox } from './scroll-box.js'
import { Stamp, type StampKind } from './stamp.js'

interface VerdictProps {
  readonly comparison: Comparison
  readonly sides: CompareSides
  readonly vouched: boolean
}

/** The answer first, then what it stands on. */
export function CompareVerdict({ comparison, sides, vouched }: VerdictProps) {
  const { conclusion, faults, vehicle, clears } = comparison
  const [first, ...others] = conclusion
  const judged = faults.filter(({ grade }) => grade !== null)
  const [only] = judged
  const say = useSentence()
  return (
    <section class="compare-verdict" aria-labelledby="answer-title">
      <div class="answer">
        <h2 id="answer-title">{compareText.answer}</h2>
        <p>
          <GradeStamp grade={worstGrade(faults.map(({ grade }) => grade))} big />
        </p>
        <p class="verdict-words">{say(first ?? '')}</p>
        {judged.length === 1 && only !== undefined && <FaultStatement fault={only} />}
        {others.map((sentence) => (
          <p key={sentence}>{say(sentence)}</p>
        ))}
      </div>
      <div class="grounds">
        <Vehicle vehicle={vehicle} vouched={vouched} />
        <h3>{compareText.clears.title}</h3>
        {clears.length === 0 ? (
          <p>{compareText.clears.none}</p>
        ) : (
          <>
            <p>{compareText.clears.seen(clears.length)}</p>
            <SeeList evidence={clears} sides={sides} />
          </>
        )}
      </div>
    </section>
  )
}

const VEHICLE_STAMPS: Readonly<Record<VehicleComparison['same'], StampKind>> = {
  same: 'pass',
  different: 'fail',
  unknown: 'caution',
  vouched: 'none-found',
}

function Vehicle({ vehicle, vouched }: { readonly vehicle: VehicleComparison; readonly vouched: boolean }) {
  const words = compareText.vehicle
  const { same, identities } = vehicle
  const say = useSentence()
  return (
    <>
      <h3>{words.title}</h3>
      <p>
        <Stamp kind={VEHICLE_STAMPS[same]} word={words.same[same]} />
      </p>
      <p>{say(vehicle.text)}</p>
      {(same === 'unknown' || same === 'vouched') && (
        <label class="vouch">
          <input
            type="checkbox"
            checked={vouched}
            onChange={(event) => changeCompare({ vouched: event.currentTarget.checked }, 'push')}
          />
          {words.vouch}
        </label>
      )}
      {identities.length > 0 && (
        <details>
          <summary>{words.identities(identities.length)}</summary>
          <Identities vehicle={vehicle} />
        </details>
      )}
    </>
  )
}

function Identities({ vehicle }: { readonly vehicle: VehicleComparison }) {
  const words = compareText.vehicle
  return (
    <ScrollBox label={words.identities(vehicle.identities.length)}>
      <table class="small-table">
        <thead>
          <tr>
            <th scope="col">{words.columns.what}</th>
            <th scope="col">{compareText.sides.before}</th>
            <th scope="col">{compareText.sides.after}</th>
            <th scope="col">{words.columns.same}</th>
          </tr>
        </thead>
        <tbody>
          {vehicle.identities.map(({ kind, channel, sa, before, after, same }) => (
            <tr key={`${channel}${sa}${kind}`}>
              <th scope="row">
                {words.kinds[kind]}, {addressText(sa)}
              </th>
              <td class="break">{before ?? words.none}</td>
              <td class="break">{after ?? words.none}</td>
              <td>{same === null ? words.open : same ? words.yes : words.no}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </ScrollBox>
  )
}
