/** Sentences of the analysis in the units that were chosen. */
import { sentenceIn } from '@firstcrank/analysis'
import { useSettings } from './settings.js'

/** How a sentence is shown: as it is, or with the converted figure beside each of the bus. */
export function useSentence(): (text: string) => string {
  const { units } = useSettings()
  return (text) => sentenceIn(units, text)
}
