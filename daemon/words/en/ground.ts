/** What a bed is made of, and the signs on it, in English. */
export const GROUND = {
  'sign.root_tips': 'White root tips show when a pinch of the surface is lifted.',
  'sign.green_haze': 'Then a haze of green stands on most of the bed.',
  'sign.half_green': 'About half of the area shows green.',
  'sign.cover': '{least} to {most} % of the area shows green.',
  'sign.roots': 'Roots are {least} to {most} {unit} long.',
  'sign.holds_colour': 'The bed holds its colour from one cycle to the next.',
  'sign.mowing_height': 'The leaf is tall enough for its first mowing.',
  'sign.firm': 'The bed is firm to a footprint.',
  'sign.resists_tug': 'Plants resist a light tug.',

  'sand.coarse_open': 'coarse sand, open below',
  'sand.loamy_open': 'loamy sand, open below',
  'sand.medium_open': 'medium sand, open below',
  'sand.coarse_over_gravel': 'coarse sand over gravel',
  'sand.medium_coarse_over_gravel': 'medium-coarse sand over gravel',
  'sand.medium_over_gravel': 'medium sand over gravel',
  'sand.fine_over_gravel': 'fine sand over gravel',
  'sand_basis.published': 'published',
  'sand_basis.assumed': 'assumed',
  'sand_source.class_means': 'means of its texture class, Carsel & Parrish 1988',
  'sand_source.class_means_dry':
    'means of its texture class, Carsel & Parrish 1988; it holds less at 30 cm than a greens mix should',
  'sand_source.greens_mix':
    'inside the recommended ranges for greens mixes: total porosity 35 to 55 %, capillary 15 to 25 % at 30 cm, at least 150 mm/h',
  'sand_source.without_gravel': 'the medium sand over gravel, without its gravel',
  'sand_range.one_deviation':
    'one standard deviation around the mean, Carsel & Parrish 1988, from memory',
  'sand_range.near_default':
    'assumed around the default, inside the recommended ranges for greens mixes',
} as const;
