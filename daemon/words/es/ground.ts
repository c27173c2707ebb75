import type { GROUND as EN } from '../en/ground.ts';

/** What a bed is made of, and the signs on it, in Spanish. */
export const GROUND: Readonly<Record<keyof typeof EN, string>> = {
  'sign.root_tips': 'Al levantar una pizca de la superficie se ven puntas blancas de raíz.',
  'sign.green_haze': 'Después hay un velo verde en casi toda el área.',
  'sign.half_green': 'Cerca de la mitad del área se ve verde.',
  'sign.cover': 'De {least} a {most} % del área se ve verde.',
  'sign.roots': 'Las raíces miden de {least} a {most} {unit}.',
  'sign.holds_colour': 'El área conserva su color de un ciclo al siguiente.',
  'sign.mowing_height': 'La hoja ya tiene altura para su primer corte.',
  'sign.firm': 'El área aguanta firme una pisada.',
  'sign.resists_tug': 'Las plantas resisten un tirón suave.',

  'sand.coarse_open': 'arena gruesa, abierta abajo',
  'sand.loamy_open': 'arena franca, abierta abajo',
  'sand.medium_open': 'arena media, abierta abajo',
  'sand.coarse_over_gravel': 'arena gruesa sobre grava',
  'sand.medium_coarse_over_gravel': 'arena media a gruesa sobre grava',
  'sand.medium_over_gravel': 'arena media sobre grava',
  'sand.fine_over_gravel': 'arena fina sobre grava',
  'sand_basis.published': 'publicado',
  'sand_basis.assumed': 'supuesto',
  'sand_source.class_means': 'medias de su clase de textura, Carsel & Parrish 1988',
  'sand_source.class_means_dry':
    'medias de su clase de textura, Carsel & Parrish 1988; a 30 cm guarda menos de lo que debe una mezcla para greens',
  'sand_source.greens_mix':
    'dentro de los rangos recomendados para mezclas de greens: porosidad total 35 a 55 %, capilar 15 a 25 % a 30 cm, al menos 150 mm/h',
  'sand_source.without_gravel': 'la arena media sobre grava, sin su grava',
  'sand_range.one_deviation':
    'una desviación estándar alrededor de la media, Carsel & Parrish 1988, de memoria',
  'sand_range.near_default':
    'supuesto alrededor del valor por defecto, dentro de los rangos recomendados para mezclas de greens',
};
