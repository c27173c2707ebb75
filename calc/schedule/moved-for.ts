/** What a cycle was moved for once all was safe: a level flow, a lull of the wind, or its place in the plan in force. */
export type MovedFor = 'level' | 'lull' | 'former';
