/** What a log is called before anybody gives it a title. */

/** A name as a title: no path, no control characters, not endless. */
export function titleOf(name: string): string {
  const last = name.split(/[/\\]/).at(-1) ?? ''
  const plain = last.replace(/\.(gz|log|txt|candump)$/gi, '').replace(/\.(log|txt|candump)$/gi, '')
  return plain.replaceAll(/\p{C}/gu, '').trim().slice(0, 200) || 'Log without a name'
}
