/** What a node is for: by the function of its NAME, else by the address it prefers. */
import { NULL_ADDRESS } from '../../bus/identifier.js'
import type { Name } from '../../bus/name.js'
import { functionName } from './functions.js'
import { addressName, DYNAMIC_ADDRESSES } from './source-addresses.js'

/**
 * What a node is, such as `Engine 1` or `Brakes, system controller`.
 *
 * @param sa 0 to 255
 * @param name the NAME that claimed the address; null where none was seen
 * @returns undefined where neither says it
 */
export function nodeRole(sa: number, name: Name | null = null): string | undefined {
  const claimed = name === null ? undefined : functionName(name.function, name.industryGroup, name.vehicleSystem)
  const usual = usualRole(sa, name)
  // Where both say the same, the address also tells which of several: `Engine 1`, not `Engine`.
  return claimed === undefined || usual?.replace(/ \d+$/, '') === claimed ? usual : claimed
}

function usualRole(sa: number, name: Name | null): string | undefined {
  if (sa >= NULL_ADDRESS) return undefined
  const [lowest, highest] = DYNAMIC_ADDRESSES
  // Without an industry group an address of the dynamic range says nothing of what its node is.
  return name === null && sa >= lowest && sa <= highest ? undefined : addressName(sa, name?.industryGroup)
}
