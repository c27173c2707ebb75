/** Style sheets are bundled with the page; importing one brings nothing but its effect. */
declare module '*.css';
