#include "studio/server.h"

#include <microhttpd.h>
#include <netinet/in.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "base/text.h"
#include "studio/guard.h"
#include "studio/page.h"

namespace fretloom::studio {

namespace {

constexpr unsigned k_most_connections = 128;
constexpr unsigned k_idle_seconds = 60;  // longer than a call may wait
/// Of a request's head and of what is read at a time: a longer head is refused (431).
constexpr std::size_t k_connection_memory = std::size_t{32} << 10U;
static_assert(k_longest_wait_seconds < static_cast<int>(k_idle_seconds));

/// 128 bits that nobody can guess; empty where the machine has none.
std::string new_token() {
  std::array<unsigned char, 16> bytes{};
  if (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size())) return "";
  std::string token;
  for (const unsigned char byte : bytes) {
    constexpr std::string_view k_digits = "0123456789abcdef";
    token += k_digits[byte >> 4U];
    token += k_digits[byte & 15U];
  }
  return token;
}

struct Listening {
  int socket = -1;
  std::uint16_t port = 0;
};

/// A socket of this machine alone: nobody else's network reaches 127.0.0.1. 0 is any free port.
Result<Listening> listen_on(std::uint16_t port) {
  const auto failed = [&](int socket) {
    Error error{ErrorKind::io, 0, "cannot listen on port " + std::to_string(port) + ": " + std::strerror(errno),
                "choose another one with --port, or leave that out for a free one"};
    if (socket >= 0) ::close(socket);
    return error;
  };
  const int socket = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (socket < 0) return failed(socket);
  const int on = 1;  // the port of a run that ended a moment ago can be had
  ::setsockopt(socket, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
  sockaddr_in address{};
  address.sin_family = AF_INET;
  address.sin_port = htons(port);
  address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  socklen_t size = sizeof address;
  auto* place = reinterpret_cast<sockaddr*>(&address);
  if (::bind(socket, place, size) != 0 || ::listen(socket, SOMAXCONN) != 0 || ::getsockname(socket, place, &size) != 0)
    return failed(socket);
  return Listening{socket, ntohs(address.sin_port)};
}

MHD_Result add_header(void* cls, MHD_ValueKind /*kind*/, const char* key, std::size_t key_size, const char* value,
                      std::size_t value_size) {
  auto& head = *static_cast<RequestHead*>(cls);
  head.headers.emplace(lower(std::string_view(key, key_size)), std::string(value == nullptr ? "" : value, value_size));
  return MHD_YES;
}

MHD_Result add_argument(void* cls, MHD_ValueKind /*kind*/, const char* key, std::size_t key_size, const char* value,
                        std::size_t value_size) {
  auto& head = *static_cast<RequestHead*>(cls);
  head.query[std::string(key, key_size)] = std::string(value == nullptr ? "" : value, value_size);
  return MHD_YES;
}

/// A request while it comes.
struct Incoming {
  RequestHead head;
  std::string body;
};

void add_safety(MHD_Response* response) {
  for (const auto& [name, value] : safety_headers()) {
    if (MHD_get_response_header(response, std::string(name).c_str()) != nullptr) continue;  // the reply has its own
    MHD_add_response_header(response, std::string(name).c_str(), std::string(value).c_str());
  }
}

MHD_Result send(MHD_Connection* connection, Reply reply) {
  MHD_Response* response = MHD_create_response_from_buffer(reply.body.size(), reply.body.data(), MHD_RESPMEM_MUST_COPY);
  if (response == nullptr) return MHD_NO;
  for (const auto& [name, value] : reply.headers) MHD_add_response_header(response, name.c_str(), value.c_str());
  add_safety(response);
  MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, reply.type.c_str());
  MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-store");
  const MHD_Result queued = MHD_queue_response(connection, static_cast<unsigned>(reply.status), response);
  MHD_destroy_response(response);
  return queued;
}

MHD_Result send(MHD_Connection* connection, const PageReply& reply) {
  const MHD_IoVec bytes{reply.bytes.data(), reply.bytes.size()};
  MHD_Response* response = MHD_create_response_from_iovec(&bytes, reply.bytes.empty() ? 0 : 1, nullptr, nullptr);
  if (response == nullptr) return MHD_NO;
  add_safety(response);
  MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, std::string(reply.type).c_str());
  // Kept by the browser, and asked for again each time: another program may be on this port tomorrow.
  MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-cache");
  MHD_add_response_header(response, MHD_HTTP_HEADER_VARY, "Accept-Encoding");
  if (!reply.etag.empty()) MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, reply.etag.c_str());
  if (reply.is_packed) MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_ENCODING, "gzip");
  const MHD_Result queued = MHD_queue_response(connection, static_cast<unsigned>(reply.status), response);
  MHD_destroy_response(response);
  return queued;
}

}  // namespace

struct Server::State {
  State(Studio& the_studio, std::span<const EmbeddedFile> files) : studio(the_studio), page(files) {}

  /// The head is looked at before anything of the body is read.
  MHD_Result begin(MHD_Connection* connection, const char* url, const char* method, void** request) const {
    auto incoming = std::make_unique<Incoming>();
    incoming->head.method = method;
    incoming->head.path = url;
    MHD_get_connection_values_n(connection, MHD_HEADER_KIND, add_header, &incoming->head);
    MHD_get_connection_values_n(connection, MHD_GET_ARGUMENT_KIND, add_argument, &incoming->head);
    if (const auto refused = refuse(incoming->head, rules))
      return send(connection, refusal(refused->status, refused->kind, refused->message));
    *request = incoming.release();
    return MHD_YES;
  }

  MHD_Result go_on(MHD_Connection* connection, Incoming& incoming, const char* bytes, std::size_t* size) {
    if (*size > 0) {
      if (incoming.body.size() + *size > k_largest_body) return MHD_NO;
      incoming.body.append(bytes, *size);
      *size = 0;
      return MHD_YES;
    }
    if (incoming.head.path.starts_with(k_api))
      return send(connection, studio.answer(incoming.head, incoming.body, rules.token));
    if (const auto file = page.file(incoming.head)) return send(connection, *file);
    return send(connection, refusal(404, "wrong", "Fretloom has no such page."));
  }

  static MHD_Result on_request(void* cls, MHD_Connection* connection, const char* url, const char* method,
                               const char* /*version*/, const char* bytes, std::size_t* size, void** request) {
    auto& state = *static_cast<State*>(cls);
    if (*request == nullptr) return state.begin(connection, url, method, request);
    return state.go_on(connection, *static_cast<Incoming*>(*request), bytes, size);
  }

  static void on_completed(void* /*cls*/, MHD_Connection* /*connection*/, void** request,
                           MHD_RequestTerminationCode /*why*/) {
    delete static_cast<Incoming*>(*request);
    *request = nullptr;
  }

  Studio& studio;
  Page page;
  GuardRules rules;
  MHD_Daemon* daemon = nullptr;
};

Server::Server(std::unique_ptr<State> state) : state_(std::move(state)) {}

Result<std::unique_ptr<Server>> Server::start(Studio& studio, std::span<const EmbeddedFile> page, std::uint16_t port) {
  auto state = std::make_unique<State>(studio, page);
  state->rules.token = new_token();
  if (state->rules.token.empty()) return Error{ErrorKind::io, 0, "this machine gives no random numbers", ""};
  const auto listening = listen_on(port);
  if (!listening) return listening.error();
  state->rules.port = listening->port;
  state->daemon = MHD_start_daemon(MHD_USE_INTERNAL_POLLING_THREAD | MHD_USE_THREAD_PER_CONNECTION | MHD_USE_POLL, 0,
                                   nullptr, nullptr, &State::on_request, state.get(), MHD_OPTION_LISTEN_SOCKET,
                                   listening->socket, MHD_OPTION_NOTIFY_COMPLETED, &State::on_completed, nullptr,
                                   MHD_OPTION_CONNECTION_LIMIT, k_most_connections, MHD_OPTION_CONNECTION_TIMEOUT,
                                   k_idle_seconds, MHD_OPTION_CONNECTION_MEMORY_LIMIT, k_connection_memory,
                                   MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_END);
  if (state->daemon == nullptr) {
    ::close(listening->socket);
    return Error{ErrorKind::io, 0, "the server cannot be started", ""};
  }
  return std::unique_ptr<Server>(new Server(std::move(state)));
}

Server::~Server() {
  state_->studio.end();
  MHD_stop_daemon(state_->daemon);
}

std::uint16_t Server::port() const { return state_->rules.port; }
std::string Server::address() const { return "http://127.0.0.1:" + std::to_string(port()) + "/"; }
const std::string& Server::token() const { return state_->rules.token; }

}  // namespace fretloom::studio
