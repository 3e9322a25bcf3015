/** How far the start has come: the alarm, what is expected next, and for how long. */
import { text } from '../words/text.js'
import { CRANK_SECONDS, countOf, OIL_SECONDS, type Stage } from './live-watch.js'
import { Shape } from './stamp.js'

interface StageProps {
  readonly stage: Stage
  readonly alarm: boolean
  /** Said instead of the stage where nothing of it is known; null where it is. */
  readonly instead: string | null
}

/** The part of the page; it takes the same room whatever it says. */
export function LiveStage({ stage, alarm, instead }: StageProps) {
  const count = instead === null ? countOf(stage) : null
  const warns = instead === null && WARNINGS.has(stage.kind)
  return (
    <div class="stage-slot">
      <div role="alert">
        {alarm && (
          <p class="alarm">
            <Shape kind="stop" />
            <span>{text.live.oil}</span>
            <Shape kind="stop" />
          </p>
        )}
      </div>
      <div class={warns ? 'stage warns' : 'stage'}>
        <p role="status">{instead ?? stageWords(stage)}</p>
        {/* Apart from the words, so that they are not read out again at every second. */}
        {count !== null && (
          <strong class="count">{stage.kind === 'no-oil' ? text.live.gone(count) : text.live.left(count)}</strong>
        )}
      </div>
    </div>
  )
}

/** What nobody must overlook. */
const WARNINGS: ReadonlySet<Stage['kind']> = new Set(['no-oil', 'stopped-no-oil', 'oil-unknown'])

function stageWords(stage: Stage): string {
  const words = text.live.stages
  switch (stage.kind) {
    case 'standing':
      return words.standing(CRANK_SECONDS)
    case 'cranking':
      return words.cranking(CRANK_SECONDS, stage.missed)
    case 'oil-wait':
      return words['oil-wait'](OIL_SECONDS)
    default:
      return words[stage.kind]
  }
}
