import {
  isBinaryExpression,
  isBlock,
  isCallExpression,
  isConditionalExpression,
  isContinueStatement,
  isElementAccessExpression,
  isForStatement,
  isIfStatement,
  isNumericLiteral,
  isPropertyAssignment,
  isReturnStatement,
  isThrowStatement,
  isTypeNode,
  isWhileStatement,
  type Node,
  type SourceFile,
  SyntaxKind,
} from 'typescript/unstable/ast';

/** One small way to write a piece of the text differently. */
export interface Change {
  from: number;
  to: number;
  text: string;
}

/** A place that can be changed, with every way to do it. */
export interface Place {
  line: number;
  changes: readonly Change[];
}

/** An operator's opposites and neighbours: a comparison is turned, or its edge moved. */
const OTHER_OPERATORS = new Map<SyntaxKind, readonly string[]>([
  [SyntaxKind.LessThanToken, ['<=', '>=']],
  [SyntaxKind.LessThanEqualsToken, ['<', '>']],
  [SyntaxKind.GreaterThanToken, ['>=', '<=']],
  [SyntaxKind.GreaterThanEqualsToken, ['>', '<']],
  [SyntaxKind.EqualsEqualsEqualsToken, ['!==']],
  [SyntaxKind.ExclamationEqualsEqualsToken, ['===']],
  [SyntaxKind.PlusToken, ['-']],
  [SyntaxKind.MinusToken, ['+']],
  [SyntaxKind.AsteriskToken, ['/']],
  [SyntaxKind.SlashToken, ['*']],
  [SyntaxKind.PlusEqualsToken, ['-=']],
  [SyntaxKind.MinusEqualsToken, ['+=']],
  [SyntaxKind.AmpersandAmpersandToken, ['||']],
  [SyntaxKind.BarBarToken, ['&&']],
]);

/**
 * Every place of a file that can be changed in a small way, in the order of the text. Types and what
 * is thrown are left out: no test of numbers could tell them apart.
 */
export function findPlaces(file: SourceFile): Place[] {
  const places: Place[] = [];
  const look = (node: Node): void => {
    if (isTypeNode(node) || isThrowStatement(node)) return;
    const changes = changesOf(node, file);
    if (changes.length > 0) {
      const line = file.getLineAndCharacterOfPosition(changes[0]?.from ?? 0).line + 1;
      places.push({ line, changes });
    }
    node.forEachChild(look);
  };
  look(file);
  return places.sort((a, b) => a.line - b.line);
}

function changesOf(node: Node, file: SourceFile): Change[] {
  const instead = (of: Node, ...texts: string[]) =>
    texts.map((text) => ({ from: of.getStart(file), to: of.end, text }));
  if (isNumericLiteral(node)) {
    const value = Number(node.text);
    return isOutOfSight(node, value) ? [] : instead(node, otherNumber(value));
  }
  if (node.kind === SyntaxKind.TrueKeyword) return instead(node, 'false');
  if (node.kind === SyntaxKind.FalseKeyword) return instead(node, 'true');
  if (isBinaryExpression(node)) {
    if (node.operatorToken.kind === SyntaxKind.QuestionQuestionToken) {
      const always = instead(node, node.right.getText(file));
      return isElementAccessExpression(node.left)
        ? always
        : [...always, ...instead(node, node.left.getText(file))];
    }
    return instead(node.operatorToken, ...(OTHER_OPERATORS.get(node.operatorToken.kind) ?? []));
  }
  if (isCallExpression(node)) {
    const other = { 'Math.min': 'Math.max', 'Math.max': 'Math.min' }[node.expression.getText(file)];
    return other === undefined ? [] : instead(node.expression, other);
  }
  if (isIfStatement(node)) return instead(node.expression, 'true', 'false');
  if (isConditionalExpression(node)) return instead(node.condition, 'true', 'false');
  // A loop that never ends says nothing of the tests.
  if (isWhileStatement(node)) return instead(node.expression, 'false');
  if (isForStatement(node)) return node.condition ? instead(node.condition, 'false') : [];
  return isEarlyLeave(node) ? instead(node, ';') : [];
}

function otherNumber(value: number): string {
  if (value === 0) return '1';
  return value === 1 ? '2' : String(value * 1.25);
}

/**
 * The name of a property is no value, and what stands behind `values[i] ??` is there for the
 * compiler, who does not know that the index is inside. A quarter more of a hair that keeps the
 * machine's rounding from deciding (1e-6, 1e-9 and the like) is seen nowhere.
 */
function isOutOfSight(node: Node, value: number): boolean {
  const { parent } = node;
  if (value > 0 && value <= 1e-6 && Number.isInteger(Math.log10(value))) return true;
  if (isPropertyAssignment(parent) && parent.name === node) return true;
  return (
    isBinaryExpression(parent) &&
    parent.operatorToken.kind === SyntaxKind.QuestionQuestionToken &&
    parent.right === node &&
    isElementAccessExpression(parent.left)
  );
}

/** One that stands alone behind its condition is left out: that condition is taken as never anyway. */
function isEarlyLeave(node: Node): boolean {
  if (!isReturnStatement(node) && !isContinueStatement(node)) return false;
  if (!isBlock(node.parent)) return false;
  const { parent: around } = node.parent;
  if (isIfStatement(around)) return node.parent.statements.length > 1;
  return isForStatement(around) || around.kind === SyntaxKind.ForOfStatement;
}
