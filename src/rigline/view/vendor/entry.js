// What the editor takes from CodeMirror; the bundler drops the rest.
export { EditorState } from '@codemirror/state';
export {
  EditorView, keymap, lineNumbers, highlightActiveLine, drawSelection, hoverTooltip,
} from '@codemirror/view';
export { defaultKeymap, history, historyKeymap, indentWithTab } from '@codemirror/commands';
export { HighlightStyle, StreamLanguage, bracketMatching, indentUnit, syntaxHighlighting } from '@codemirror/language';
export { autocompletion, completionKeymap } from '@codemirror/autocomplete';
export { lintGutter, lintKeymap, setDiagnostics } from '@codemirror/lint';
export { search, searchKeymap } from '@codemirror/search';
export { tags } from '@lezer/highlight';
export { yaml } from '@codemirror/legacy-modes/mode/yaml';
export { toml } from '@codemirror/legacy-modes/mode/toml';
