# Toolchain of the WebAssembly module: clang-16 with Debian's libc++, wasi-libc and compiler builtins for wasm32.
set(CMAKE_SYSTEM_NAME Generic)
set(CMAKE_SYSTEM_PROCESSOR wasm32)
set(CMAKE_C_COMPILER clang-16)
set(CMAKE_CXX_COMPILER clang++-16)
set(CMAKE_C_COMPILER_TARGET wasm32-wasi)
set(CMAKE_CXX_COMPILER_TARGET wasm32-wasi)
set(CMAKE_C_COMPILER_WORKS ON)  # a trial would want an archiver; rooms are linked as objects
set(CMAKE_CXX_COMPILER_WORKS ON)
set(FRETLOOM_WASM ON)

add_compile_options(
  "SHELL:-isystem /usr/lib/llvm-16/include/wasm32-wasi/c++/v1" "SHELL:-isystem /usr/include/wasm32-wasi"
  -fno-exceptions -fno-rtti -fno-threadsafe-statics -fno-stack-protector -fvisibility=hidden -ffunction-sections
  -fdata-sections -mbulk-memory -msign-ext -mnontrapping-fptoint)
add_compile_definitions(JSON_NOEXCEPTION JSON_HAS_FILESYSTEM=0)

# The linker is called as it is: the compiler's driver would run an optimiser of its own choice behind it.
set(wasm_lib /usr/lib/wasm32-wasi)
set(CMAKE_CXX_LINK_EXECUTABLE
  "wasm-ld-16 <LINK_FLAGS> ${wasm_lib}/crt1-reactor.o <OBJECTS> <LINK_LIBRARIES> -L${wasm_lib} -lc++ -lc++abi -lc /usr/lib/llvm-16/lib/clang/16/lib/wasi/libclang_rt.builtins-wasm32.a -o <TARGET>")
