/**
 * Which published source names which SPN as the fault tables do, beside the sources of the parameter
 * groups. What no list holds is from memory. Sources of one maker are not counted twice: an SPN stands
 * in one list of the maker's only.
 */
import { findSignals } from '../built-in.js'
import { isPublication, publicationsAmong, type SourceId } from '../sources.js'
import { type SourceLists, sourcesOf } from './sources.js'

export const FAULT_NAME_SOURCES: SourceLists = {
  list: [1214, 1215, 1216],
  engine: [1214, 1215, 1216],
  'public-text': [27, 132, 729, 730, 1081, 1675, 2623, 3509, 3510, 3511, 3512, 3543, 3563],
  'brake-manual': [639, 789, 790, 793, 794, 795, 796, 797, 798, 799, 800, 801, 1238, 1807, 1808, 3597],
  'compressor-manual': [190, 191, 411, 412, 1623, 1632, 1639, 1668, 1675, 1761],
  'loader-manual': [677, 729, 1079, 1080, 1109, 1136, 1231, 1235, 4360, 4375, 4376],
  'telehandler-manual': [27, 29, 51, 91, 94, 96, 97, 100, 101, 102],
  'excavator-list': [29, 91, 108, 110, 158, 1078, 1079, 1136, 1210],
  'tractor-list': [28, 29, 51, 91],
  'off-road-list': [100, 102, 105, 107, 108, 109, 1043, 1076, 1083, 1084],
  'industrial-manual': [1213, 3038, 4332],
  'towed-manual': [2791, 2802, 3509],
  'dm1-manual': [171, 172, 174, 175, 190, 234, 532],
  'controller-manual': [100, 102, 105, 110, 173, 175, 190, 3517],
  'aftertreatment-list': [1761, 3031, 3216, 3226],
  'transmission-list': [597, 628, 6822, 6823, 6824, 6825],
  'shift-manual': [751, 5604],
  'heater-article': [4355, 4356, 4357, 5491],
  'turbo-article': [641],
}

/**
 * The sources that name an SPN as `faultName` does: those listed here, and those of the parameter groups
 * that carry it. `['memory']` where no published one does.
 */
export function faultNameSources(spn: number): SourceId[] {
  const ofGroups = findSignals(spn).flatMap(({ signal }) => signal.sources)
  const named = [...ofGroups, ...sourcesOf(FAULT_NAME_SOURCES, spn)].filter(isPublication)
  return named.length > 0 ? [...new Set(named)] : ['memory']
}

/** How many independent published sources name an SPN as `faultName` does. 0 means from memory alone. */
export function faultNameConfirmed(spn: number): number {
  return publicationsAmong(faultNameSources(spn))
}
