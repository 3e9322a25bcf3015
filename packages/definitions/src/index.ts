export { DefinitionsError, type DefinitionsErrorCode, parseDefinitions } from './load.js'
export { DEFINITIONS_VERSION, type DefinitionsFile, definitionsFile, definitionsJsonSchema } from './schema.js'
export { fieldWords } from './words.js'
