/** A small file of text that an option names. */
import { readFile } from 'node:fs/promises'
import { CommandError, fileProblem } from './command-error.js'

/**
 * The text of a file, without the byte-order mark that some editors write.
 *
 * @param place what to begin a complaint with: where the file was named
 * @throws {CommandError} 3 where it cannot be read
 */
export async function readTextFile(place: string, name: string): Promise<string> {
  try {
    return (await readFile(name, 'utf8')).replace(/^\ufeff/, '')
  } catch (error) {
    throw new CommandError(3, `${place}: cannot read it: ${fileProblem(error)}`, { cause: error })
  }
}
