declare module "*.toml" {
  const text: string;
  export default text;
}
